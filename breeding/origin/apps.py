"""Django's card for the room `origin`."""

from django.apps import AppConfig


class OriginConfig(AppConfig):
    name = "breeding.origin"
    label = "origin"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """The way to the proof stands on an animal's page."""
        from breeding.origin.found import FOUND
        from breeding.program.acts.mending import add_kinds
        from breeding.program.found import add_found
        from breeding.program.panels import add_panel

        add_panel("animals:detail", "origin", "breeding.origin.panels.origin_panel", position=32)
        add_kinds("breeding.origin.mending.KINDS")
        add_found(*FOUND)
