"""Django's card for the room `feeding`."""

from django.apps import AppConfig


class FeedingConfig(AppConfig):
    name = "breeding.feeding"
    label = "feeding"
    default_auto_field = "django.db.models.BigAutoField"
