"""Django's card for the room `offers`."""

from django.apps import AppConfig


class OffersConfig(AppConfig):
    name = "breeding.offers"
    label = "offers"
    default_auto_field = "django.db.models.BigAutoField"
