"""Django's card for the room `planning`."""

from django.apps import AppConfig


class PlanningConfig(AppConfig):
    name = "breeding.planning"
    label = "planning"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """What of this room can be withdrawn."""
        from breeding.planning.mending import KINDS
        from breeding.program.acts.mending import add_kinds

        add_kinds(*KINDS)
