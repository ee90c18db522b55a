"""Django's card for the room `buyers`."""

from django.apps import AppConfig


class BuyersConfig(AppConfig):
    name = "breeding.buyers"
    label = "buyers"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """For whom it is kept, and its sheets, stand on an animal's page."""
        from breeding.animals.panels import add_panel
        from breeding.buyers.panels import buyers_panel

        add_panel("buyers", buyers_panel, position=30)
