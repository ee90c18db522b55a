"""Django's card for the room `traits`."""

from django.apps import AppConfig


class TraitsConfig(AppConfig):
    name = "breeding.traits"
    label = "traits"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Traits stand on the pages of an animal, of a litter and of two animals together."""
        from breeding.program.acts.mending import add_kinds
        from breeding.program.found import add_found
        from breeding.program.panels import add_panel
        from breeding.traits.found import FOUND

        add_panel("animals:detail", "traits", "breeding.traits.panels.animal_panel", position=9)
        add_panel("litters:detail", "traits", "breeding.traits.panels.litter_panel", position=10)
        add_panel("planning:pair", "traits", "breeding.traits.panels.pair_panel", position=10)
        add_kinds("breeding.traits.mending.KINDS")
        add_found(*FOUND)
