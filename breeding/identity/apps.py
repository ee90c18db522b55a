"""Django's card for the room `identity`."""

from django.apps import AppConfig


class IdentityConfig(AppConfig):
    name = "breeding.identity"
    label = "identity"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """An animal's page says whether its spots are on record."""
        from breeding.identity.alike import look_through_by_night
        from breeding.identity.found import FOUND
        from breeding.program.acts.mending import add_kinds
        from breeding.program.found import add_found
        from breeding.program.panels import add_panel
        from breeding.program.serving.background import each_minute

        add_kinds("breeding.identity.mending.KINDS")
        add_found(*FOUND)
        each_minute("hold pictures against each other", look_through_by_night)
        add_panel(
            "animals:detail", "identity", "breeding.identity.panels.pattern_panel", position=60
        )
