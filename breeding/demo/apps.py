"""Django's card for the invented program."""

from django.apps import AppConfig


class DemoConfig(AppConfig):
    name = "breeding.demo"
    label = "demo"
    default_auto_field = "django.db.models.BigAutoField"
