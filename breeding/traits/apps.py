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
        from breeding.traits.mending import KINDS
        from breeding.traits.panels import animal_panel, litter_panel, pair_panel

        add_panel("animals:detail", "traits", animal_panel, position=9)
        add_panel("litters:detail", "traits", litter_panel, position=10)
        add_panel("planning:pair", "traits", pair_panel, position=10)
        add_kinds(*KINDS)
        add_found(*FOUND)
