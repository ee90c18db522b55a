"""Addresses of the room `planning`."""

from django.urls import path

from breeding.planning.views import ahead, line, litter, pair, season, state, table, what_if, year

app_name = "planning"
urlpatterns = [
    path("", pair.index, name="index"),
    path("table/", table.table, name="table"),
    path("pair/", pair.pair, name="pair"),
    path("season/", season.season, name="season"),
    path("season/accept/", season.accept, name="accept"),
    path("season/unknown/", season.unknown, name="unknown"),
    path("waiting/", season.waiting, name="waiting"),
    path("ahead/", ahead.ahead, name="ahead"),
    path("ahead/<int:pk>/", ahead.outlook, name="outlook"),
    path("ahead/<int:pk>/stop/", ahead.stop, name="stop"),
    path("what-if/", what_if.what_if, name="what_if"),
    path("line/", line.line, name="line"),
    path("year/", year.year, name="year"),
    path("litters/", litter.litters, name="litters"),
    path("litters/<int:pk>/", litter.litter, name="litter"),
    path("state/", state.state, name="state"),
]
