"""Django's card for the room `pairings`."""

from django.apps import AppConfig


class PairingsConfig(AppConfig):
    name = "breeding.pairings"
    label = "pairings"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Her season stands on an animal's page, what births taught on the species' page."""
        from breeding.animals.away.following import add_going
        from breeding.animals.growth.carrying import add_carrying
        from breeding.animals.species.panels import add_figure_panel
        from breeding.feeding.queries import add_births, add_seen
        from breeding.housing.stays.following import add_offering, add_question
        from breeding.pairings.care.eating import births_of, seen_of_food, seen_since
        from breeding.pairings.carrying import carrying_by_pairings
        from breeding.pairings.company.doors import (
            doubts_in_turn,
            doubts_of_meeting,
            end_pairings_of,
            endings_offered,
        )
        from breeding.pairings.company.standing import said_of_put_back
        from breeding.pairings.found import FOUND
        from breeding.pairings.models import Sighting
        from breeding.pairings.species_file import labels_of_signs
        from breeding.program.acts.mending import add_kinds
        from breeding.program.acts.undoing import add_saying, put_back
        from breeding.program.found import add_found
        from breeding.program.late import late
        from breeding.program.panels import add_panel
        from breeding.words.stored import add_stored

        add_panel("animals:detail", "season", "breeding.pairings.panels.season_panel", position=2)
        add_panel("animals:detail", "seen", "breeding.pairings.panels.seen_panel", position=10)
        add_figure_panel("learned", late("breeding.pairings.panels.learned_figures"))
        add_seen(seen_of_food, {Sighting: seen_since})
        add_carrying("pairings", carrying_by_pairings)
        add_births(births_of)
        add_stored("signs", labels_of_signs)
        add_question("company", doubts_of_meeting, doubts_in_turn)
        add_going("pairings", end_pairings_of)
        add_offering("pairings", endings_offered)
        add_saying("company", said_of_put_back)
        add_kinds("breeding.pairings.mending.KINDS")
        put_back.connect(
            late("breeding.pairings.mending.contradictions.refuse_contradictions"), weak=False
        )
        add_found(*FOUND)
