"""Django's card for the room `litters`."""

from django.apps import AppConfig


class LittersConfig(AppConfig):
    name = "breeding.litters"
    label = "litters"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """An animal's page shows its litter; what would contradict the litter is asked there."""
        from breeding.animals.contradicting import add_question
        from breeding.litters.contradictions import ask_of_litter
        from breeding.litters.mending import KINDS
        from breeding.litters.panels import litter_panel
        from breeding.program.acts.mending import add_kinds
        from breeding.program.panels import add_panel

        add_panel("animals:detail", "litter", litter_panel, position=5)
        add_question("litter", ask_of_litter)
        add_kinds(*KINDS)
