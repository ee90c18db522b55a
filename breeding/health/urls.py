"""Addresses of the room `health`."""

from django.urls import path

from breeding.health.views import observation, overview, treatment, visit

app_name = "health"
urlpatterns = [
    path("", overview.index, name="index"),
    path("observe/", observation.observe, name="observe"),
    path("observations/<int:pk>/over/", observation.over, name="over"),
    path("treat/", treatment.treat, name="treat"),
    path("treatments/<int:pk>/", treatment.treatment, name="treatment"),
    path("treatments/<int:pk>/end/", treatment.end, name="end"),
    path("visit/", visit.visit, name="visit"),
]
