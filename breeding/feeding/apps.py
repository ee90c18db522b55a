"""Django's card for the room `feeding`."""

from django.apps import AppConfig


class FeedingConfig(AppConfig):
    name = "breeding.feeding"
    label = "feeding"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """How it eats stands on an animal's page, and what was given on a tank's."""
        from breeding.feeding.found import FOUND
        from breeding.feeding.mending import KINDS
        from breeding.feeding.panels import appetite_panel, house_act, tank_panel
        from breeding.program.acts.mending import add_kinds
        from breeding.program.found import add_found
        from breeding.program.panels import add_panel

        add_panel("animals:detail", "appetite", appetite_panel, position=7)
        add_panel("housing:detail", "feeding", tank_panel, position=10)
        add_panel("housing:house", "feeding", house_act, position=10)
        add_kinds(*KINDS)
        add_found(*FOUND)
