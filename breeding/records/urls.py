"""Addresses of the room `records`."""

from django.urls import path

from breeding.records.views import chronicle, imports, placing

app_name = "records"
urlpatterns = [
    path("chronicle/", chronicle.chronicle, name="chronicle"),
    path("animals/<int:pk>/chronicle/", chronicle.animal, name="animal"),
    path("records/history/", chronicle.history, name="history"),
    path("records/place/", placing.place, name="place"),
    path("records/", imports.index, name="index"),
    path("records/<int:pk>/columns/", imports.columns, name="columns"),
    path("records/<int:pk>/write/", imports.write, name="write"),
    path("records/<int:pk>/give-up/", imports.give_up, name="give_up"),
]
