"""Django's card for the room `arrivals`."""

from django.apps import AppConfig


class ArrivalsConfig(AppConfig):
    name = "breeding.arrivals"
    label = "arrivals"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """How it came stands on an animal's page; who came together is asked wherever kin is."""
        from breeding.animals.away.bound import add_bound
        from breeding.animals.away.following import add_asking, add_going
        from breeding.animals.away.loans import add_following
        from breeding.animals.parents.held import add_sellers, add_together
        from breeding.arrivals import erasing, queries
        from breeding.arrivals import put_back as put_back  # its receiver
        from breeding.arrivals.found import FOUND
        from breeding.arrivals.loans import acts as loans
        from breeding.arrivals.loans import young
        from breeding.arrivals.said_pregnant import said_to_be_pregnant
        from breeding.buyers.asked_with import add_asked_with
        from breeding.buyers.erasing import erase_with_contact
        from breeding.pairings.season.hints import add_hints
        from breeding.program.acts.mending import add_kinds
        from breeding.program.found import add_found
        from breeding.program.late import late
        from breeding.program.panels import add_panel

        add_kinds("breeding.arrivals.mending.KINDS")
        add_hints("arrivals", said_to_be_pregnant)
        add_asked_with("young", young.fields_of, young.give_with)
        add_together("arrivals", queries.those_together)
        add_sellers("arrivals", queries.those_of_one_seller)
        add_bound("loans", queries.lent_by_others)
        add_following("agreements", loans.follow_the_loan, loans.lent_and_back)
        add_asking("agreements", late("breeding.arrivals.panels.page_of_terms"))
        add_going("agreements", loans.end_what_is_lent)
        erase_with_contact("arrivals.Arrival", erasing.empty_arrivals)
        erase_with_contact("arrivals.LoanAgreement", erasing.empty_agreements)
        add_panel(
            "animals:detail", "arrivals", "breeding.arrivals.panels.arrival_panel", position=28
        )
        add_panel(
            "buyers:detail", "arrivals", "breeding.arrivals.panels.contact_panel", position=10
        )
        add_panel("buyers:index", "arrivals", "breeding.arrivals.panels.buyers_panel", position=10)
        add_found(*FOUND)
