"""Django's card for the room `agenda`."""

from django.apps import AppConfig


class AgendaConfig(AppConfig):
    name = "breeding.agenda"
    label = "agenda"
    default_auto_field = "django.db.models.BigAutoField"
