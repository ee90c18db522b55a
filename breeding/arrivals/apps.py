"""Django's card for the room `arrivals`."""

from django.apps import AppConfig


class ArrivalsConfig(AppConfig):
    name = "breeding.arrivals"
    label = "arrivals"
    default_auto_field = "django.db.models.BigAutoField"
