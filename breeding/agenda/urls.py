"""Addresses of the room `agenda`."""

from django.urls import path

from breeding.agenda import views

app_name = "agenda"
urlpatterns = [
    path("", views.day, name="day"),
    path("day/answer/", views.answer, name="answer"),
]
