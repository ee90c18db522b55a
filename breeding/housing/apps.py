"""Django's card for the room `housing`."""

from django.apps import AppConfig


class HousingConfig(AppConfig):
    name = "breeding.housing"
    label = "housing"
    default_auto_field = "django.db.models.BigAutoField"
