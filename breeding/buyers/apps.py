"""Django's card for the room `buyers`."""

from django.apps import AppConfig


class BuyersConfig(AppConfig):
    name = "breeding.buyers"
    label = "buyers"
    default_auto_field = "django.db.models.BigAutoField"
