"""Addresses of the room `records`."""

from django.urls import path

from breeding.records.views import history, imports

app_name = "records"
urlpatterns = [
    path("", imports.index, name="index"),
    path("history/", history.history, name="history"),
    path("<int:pk>/columns/", imports.columns, name="columns"),
    path("<int:pk>/write/", imports.write, name="write"),
    path("<int:pk>/give-up/", imports.give_up, name="give_up"),
]
