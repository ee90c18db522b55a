"""Django's card for the room `health`."""

from django.apps import AppConfig


class HealthConfig(AppConfig):
    name = "breeding.health"
    label = "health"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Health stands on the pages of animals and tanks; what holds an animal is asked below."""
        from breeding.animals.away.following import add_asking, add_before_going, add_not_dying
        from breeding.health.apart import mending as of_quarantine
        from breeding.health.apart import panels as apart
        from breeding.health.doors import MovesInTurn, doubts_before_going, doubts_of_move
        from breeding.health.dying import mending as of_death
        from breeding.health.dying import panels as dying
        from breeding.health.dying.services import take_back
        from breeding.health.found import FOUND
        from breeding.health.illness.mending import KINDS
        from breeding.health.illness.observing import labels_of_kinds
        from breeding.health.illness.panels import animal_panel, tank_panel, water_panel
        from breeding.health.marks import treatment_marks
        from breeding.housing.course.marks import add_marks
        from breeding.housing.stays.following import add_moving
        from breeding.program.acts.mending import add_kinds
        from breeding.program.acts.undoing import put_back
        from breeding.program.found import add_found
        from breeding.program.panels import add_panel
        from breeding.words.stored import add_stored

        add_panel("animals:detail", "health", animal_panel, position=8)
        add_panel("housing:detail", "health", tank_panel, position=10)
        add_panel("housing:water", "health", water_panel, position=10)
        add_moving("holds", doubts_of_move, MovesInTurn)
        add_before_going("holds", doubts_before_going)
        add_panel("animals:detail", "quarantine", apart.animal_panel, position=7)
        add_panel("housing:detail", "quarantine", apart.tank_panel, position=9)
        add_panel("animals:detail", "death", dying.animal_panel, position=4)
        add_not_dying("death", take_back)
        add_asking("death", dying.page_of_death)
        add_kinds(*KINDS, of_quarantine.QuarantineKind(), of_death.DeathKind())
        put_back.connect(of_death.refuse_death_of_living)
        add_marks(treatment_marks)
        add_found(*FOUND)
        add_stored("what ails", labels_of_kinds)
