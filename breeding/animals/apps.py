"""Django's card for the room `animals`."""

from django.apps import AppConfig


class AnimalsConfig(AppConfig):
    name = "breeding.animals"
    label = "animals"
    default_auto_field = "django.db.models.BigAutoField"
