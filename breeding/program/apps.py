"""Django's card for the room `program`."""

from django.apps import AppConfig


class ProgramConfig(AppConfig):
    name = "breeding.program"
    label = "program"
    default_auto_field = "django.db.models.BigAutoField"
