"""Django's card for the room `planning`."""

from django.apps import AppConfig


class PlanningConfig(AppConfig):
    name = "breeding.planning"
    label = "planning"
    default_auto_field = "django.db.models.BigAutoField"
