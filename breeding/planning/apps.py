"""Django's card for the room `planning`."""

from django.apps import AppConfig


class PlanningConfig(AppConfig):
    name = "breeding.planning"
    label = "planning"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """What of this room can be withdrawn; a look ahead whose process ended is begun again."""
        from breeding.planning.ahead.runs import take_up
        from breeding.planning.mending import KINDS
        from breeding.program.acts.mending import add_kinds
        from breeding.program.background import each_minute

        add_kinds(*KINDS)
        each_minute("take up looks ahead", take_up)
