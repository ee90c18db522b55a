"""Django's card for the room `pairings`."""

from django.apps import AppConfig


class PairingsConfig(AppConfig):
    name = "breeding.pairings"
    label = "pairings"
    default_auto_field = "django.db.models.BigAutoField"
