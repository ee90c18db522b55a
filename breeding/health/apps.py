"""Django's card for the room `health`."""

from django.apps import AppConfig


class HealthConfig(AppConfig):
    name = "breeding.health"
    label = "health"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Health stands on the pages of animals and tanks; what holds an animal is asked below."""
        from breeding.animals.away.following import add_asking, add_before_going, add_not_dying
        from breeding.health.doors import MovesInTurn, doubts_of_move
        from breeding.health.dying.services import take_back
        from breeding.health.found import FOUND
        from breeding.health.illness.observing import labels_of_kinds
        from breeding.health.marks import treatment_marks
        from breeding.housing.course.marks import add_marks
        from breeding.housing.stays.following import add_moving
        from breeding.program.acts.mending import add_kinds
        from breeding.program.acts.undoing import put_back
        from breeding.program.found import add_found
        from breeding.program.late import late
        from breeding.program.panels import add_panel
        from breeding.words.stored import add_stored

        add_panel(
            "animals:detail", "health", "breeding.health.illness.panels.animal_panel", position=8
        )
        add_panel(
            "housing:detail", "health", "breeding.health.illness.panels.tank_panel", position=10
        )
        add_panel(
            "housing:water", "health", "breeding.health.illness.panels.water_panel", position=10
        )
        add_moving("holds", doubts_of_move, MovesInTurn)
        add_before_going("holds", late("breeding.health.in_turn.HeldWhoGo"))
        add_panel(
            "animals:detail", "quarantine", "breeding.health.apart.panels.animal_panel", position=7
        )
        add_panel(
            "housing:detail", "quarantine", "breeding.health.apart.panels.tank_panel", position=9
        )
        add_panel(
            "animals:detail", "death", "breeding.health.dying.panels.animal_panel", position=1
        )
        add_not_dying("death", take_back)
        add_asking("death", late("breeding.health.dying.panels.page_of_death"))
        add_kinds("breeding.health.illness.mending.KINDS")
        add_kinds("breeding.health.apart.mending.KINDS")
        add_kinds("breeding.health.dying.mending.KINDS")
        put_back.connect(late("breeding.health.dying.mending.refuse_death_of_living"), weak=False)
        add_marks(treatment_marks)
        add_found(*FOUND)
        add_stored("what ails", labels_of_kinds)
