"""Django's card for the room `planning`."""

from django.apps import AppConfig


class PlanningConfig(AppConfig):
    name = "breeding.planning"
    label = "planning"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """What of this room is put right, asked before two meet, and begun again after a crash."""
        from breeding.pairings.company.together import add_question_of_two
        from breeding.planning.ahead.runs import take_up
        from breeding.planning.found import FOUND
        from breeding.planning.services import doubts_when_many_are, doubts_when_opened
        from breeding.program.acts.mending import add_kinds
        from breeding.program.found import add_found
        from breeding.program.serving.background import each_minute

        add_kinds("breeding.planning.mending.KINDS")
        add_question_of_two("fitness", doubts_when_opened, doubts_when_many_are)
        each_minute("take up looks ahead", take_up)
        add_found(*FOUND)
