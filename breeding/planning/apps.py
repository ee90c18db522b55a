"""Django's card for the room `planning`."""

from django.apps import AppConfig


class PlanningConfig(AppConfig):
    name = "breeding.planning"
    label = "planning"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """What of this room can be withdrawn, and what is asked before two are put together."""
        from breeding.pairings.company.together import add_question_of_two
        from breeding.planning.mending import KINDS
        from breeding.planning.services import doubts_when_opened
        from breeding.program.acts.mending import add_kinds

        add_kinds(*KINDS)
        add_question_of_two("fitness", doubts_when_opened)
