"""Addresses of finding; those that cards lead to are short, so that their codes are coarse."""

from django.urls import path

from breeding.finding.views import find, keys, labels

app_name = "finding"
urlpatterns = [
    path("find/", find.find, name="find"),
    path("keys/", keys.keys, name="keys"),
    path("labels/", labels.labels, name="labels"),
    path("go/a<int:pk>", find.go_animal, name="go_animal"),
    path("go/t<int:pk>", find.go_tank, name="go_tank"),
]
