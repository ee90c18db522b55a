"""Django's card for the room `litters`."""

from django.apps import AppConfig


class LittersConfig(AppConfig):
    name = "breeding.litters"
    label = "litters"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """An animal's page shows its litter; what would contradict the litter is asked there."""
        from breeding.animals.models import Animal
        from breeding.animals.parents.contradicting import add_question
        from breeding.litters.contradictions import ask_of_litter
        from breeding.litters.found import FOUND
        from breeding.pairings.models import Outcome
        from breeding.program.acts.mending import add_kinds, add_whole
        from breeding.program.found import add_found
        from breeding.program.late import late
        from breeding.program.panels import add_panel

        add_panel("animals:detail", "litter", "breeding.litters.panels.litter_panel", position=5)
        add_panel("animals:detail", "birth", "breeding.litters.panels.birth_panel", position=3)
        add_panel("animals:detail", "verdict", "breeding.litters.panels.verdict_panel", position=6)
        add_question("litter", ask_of_litter)
        add_kinds("breeding.litters.mending.KINDS")
        add_whole(Animal, late("breeding.litters.mending.whole_of_animal"))
        add_whole(Outcome, late("breeding.litters.mending.whole_of_outcome"))
        add_found(*FOUND)
