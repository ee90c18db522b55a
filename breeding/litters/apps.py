"""Django's card for the room `litters`."""

from django.apps import AppConfig


class LittersConfig(AppConfig):
    name = "breeding.litters"
    label = "litters"
    default_auto_field = "django.db.models.BigAutoField"
