"""Addresses of the room `planning`."""

from django.urls import path

from breeding.planning import views

app_name = "planning"
urlpatterns = [
    path("", views.index, name="index"),
    path("table/", views.table, name="table"),
    path("pair/", views.pair, name="pair"),
    path("state/", views.state, name="state"),
]
