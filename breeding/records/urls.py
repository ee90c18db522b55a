"""Addresses of the room `records`."""

from django.urls import path

from breeding.records import views

app_name = "records"
urlpatterns = [
    path("", views.index, name="index"),
    path("<int:pk>/columns/", views.columns, name="columns"),
    path("<int:pk>/write/", views.write, name="write"),
    path("<int:pk>/give-up/", views.give_up, name="give_up"),
]
