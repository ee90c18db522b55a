"""Django's card for the room `housing`."""

from django.apps import AppConfig


class HousingConfig(AppConfig):
    name = "breeding.housing"
    label = "housing"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Where it lives stands on an animal's page."""
        from breeding.animals.panels import add_panel
        from breeding.housing.panels import place_panel

        add_panel("place", place_panel, position=5)
