"""Addresses of the room `planning`."""

from django.urls import path

from breeding.planning import views

app_name = "planning"
urlpatterns = [
    path("state/", views.state, name="state"),
]
