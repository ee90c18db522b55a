"""Django's card for the room `housing`."""

from django.apps import AppConfig


class HousingConfig(AppConfig):
    name = "breeding.housing"
    label = "housing"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Where it lives stands on an animal's page."""
        from breeding.housing.panels import place_panel
        from breeding.housing.withdrawing import KINDS
        from breeding.program.panels import add_panel
        from breeding.program.withdrawing import add_kinds

        add_panel("animals:detail", "place", place_panel, position=5)
        add_kinds(*KINDS)
