"""Django's card for the room `health`."""

from django.apps import AppConfig


class HealthConfig(AppConfig):
    name = "breeding.health"
    label = "health"
    default_auto_field = "django.db.models.BigAutoField"
