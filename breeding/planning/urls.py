"""Addresses of the room `planning`."""

from django.urls import path

from breeding.planning import views

app_name = "planning"
urlpatterns = [
    path("", views.index, name="index"),
    path("table/", views.table, name="table"),
    path("pair/", views.pair, name="pair"),
    path("season/", views.season, name="season"),
    path("season/accept/", views.accept, name="accept"),
    path("waiting/", views.waiting, name="waiting"),
    path("waiting/<int:pk>/drop/", views.drop, name="drop"),
    path("ahead/", views.ahead, name="ahead"),
    path("ahead/<int:pk>/", views.outlook, name="outlook"),
    path("ahead/<int:pk>/stop/", views.stop, name="stop"),
    path("what-if/", views.what_if, name="what_if"),
    path("state/", views.state, name="state"),
]
