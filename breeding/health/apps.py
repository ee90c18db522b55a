"""Django's card for the room `health`."""

from django.apps import AppConfig


class HealthConfig(AppConfig):
    name = "breeding.health"
    label = "health"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Health stands on the pages of animals and tanks; what holds an animal is asked below."""
        from breeding.animals.away.following import add_before_going
        from breeding.health.doors import doubts_before_going, doubts_of_move
        from breeding.health.illness.mending import KINDS
        from breeding.health.illness.panels import animal_panel, tank_panel, water_panel
        from breeding.housing.stays.following import add_moving
        from breeding.program.acts.mending import add_kinds
        from breeding.program.panels import add_panel

        add_panel("animals:detail", "health", animal_panel, position=8)
        add_panel("housing:detail", "health", tank_panel, position=10)
        add_panel("housing:water", "health", water_panel, position=10)
        add_moving("holds", doubts_of_move)
        add_before_going("holds", doubts_before_going)
        add_kinds(*KINDS)
