"""Addresses of the room `health`."""

from django.urls import path

from breeding.health.views import death, observation, overview, quarantine, treatment, visit

app_name = "health"
urlpatterns = [
    path("", overview.index, name="index"),
    path("observe/", observation.observe, name="observe"),
    path("observations/<int:pk>/over/", observation.over, name="over"),
    path("treat/", treatment.treat, name="treat"),
    path("treatments/<int:pk>/", treatment.treatment, name="treatment"),
    path("treatments/<int:pk>/end/", treatment.end, name="end"),
    path("visit/", visit.visit, name="visit"),
    path("quarantine/", quarantine.quarantine, name="quarantine"),
    path("quarantine/<int:pk>/begin/", quarantine.keep_apart, name="keep_apart"),
    path("quarantine/<int:pk>/end/", quarantine.let_out, name="let_out"),
    path("died/<int:pk>/", death.death, name="death"),
]
