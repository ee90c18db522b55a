"""Django's card for the room `feeding`."""

from django.apps import AppConfig


class FeedingConfig(AppConfig):
    name = "breeding.feeding"
    label = "feeding"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """How it eats stands on an animal's page, and what was given on a tank's."""
        from breeding.feeding.found import FOUND
        from breeding.program.acts.mending import add_kinds
        from breeding.program.found import add_found
        from breeding.program.panels import add_panel

        add_panel(
            "animals:detail", "appetite", "breeding.feeding.panels.appetite_panel", position=7
        )
        add_panel("housing:detail", "feeding", "breeding.feeding.panels.tank_panel", position=10)
        add_panel("housing:house", "feeding", "breeding.feeding.panels.house_act", position=10)
        add_kinds("breeding.feeding.mending.KINDS")
        add_found(*FOUND)
