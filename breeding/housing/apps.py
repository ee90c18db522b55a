"""Django's card for the room `housing`."""

from django.apps import AppConfig


class HousingConfig(AppConfig):
    name = "breeding.housing"
    label = "housing"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Where it lives stands on an animal's page."""
        from breeding.animals.away.following import add_going, add_returning
        from breeding.housing.found import FOUND, where_it_lives
        from breeding.housing.stays.lent import asked_of_one_back, leave_for_a_loan
        from breeding.program.acts.mending import add_kinds
        from breeding.program.acts.undoing import put_back
        from breeding.program.found import add_beside, add_found
        from breeding.program.late import late
        from breeding.program.panels import add_panel

        add_panel("animals:detail", "place", "breeding.housing.panels.place_panel", position=4)
        add_going("stay", leave_for_a_loan)
        add_returning("stay", asked_of_one_back)
        add_kinds("breeding.housing.mending.KINDS")
        put_back.connect(late("breeding.housing.mending.two_places.refuse_two_places"), weak=False)
        add_found(*FOUND)
        add_beside("animal", where_it_lives)
