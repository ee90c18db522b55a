"""Addresses of the room `records`."""

from django.urls import path

from breeding.records.views import archive, checking, chronicle, imports

app_name = "records"
urlpatterns = [
    path("chronicle/", chronicle.chronicle, name="chronicle"),
    path("animals/<int:pk>/chronicle/", chronicle.animal, name="animal"),
    path("records/history/", chronicle.history, name="history"),
    path("records/check/", checking.check, name="check"),
    path("records/take-out/", archive.take_out, name="take_out"),
    path("records/take-out/file/", archive.archive, name="archive"),
    path("records/", imports.index, name="index"),
    path("records/<int:pk>/columns/", imports.columns, name="columns"),
    path("records/<int:pk>/write/", imports.write, name="write"),
    path("records/<int:pk>/give-up/", imports.give_up, name="give_up"),
]
