"""Django's card for the room `buyers`."""

from django.apps import AppConfig


class BuyersConfig(AppConfig):
    name = "breeding.buyers"
    label = "buyers"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """For whom it is kept, and to whom it went, stand on an animal's page."""
        from breeding.buyers.found import FOUND
        from breeding.buyers.mending import put_back as put_back  # its receiver
        from breeding.buyers.queries import kept_for
        from breeding.buyers.waiting import number_waiting
        from breeding.litters.raising.wanted import add_wanted
        from breeding.litters.verdicts.deciding import add_spoken_for
        from breeding.program.acts.mending import add_kinds
        from breeding.program.found import add_found
        from breeding.program.panels import add_panel

        add_panel("animals:detail", "buyers", "breeding.buyers.panels.buyers_panel", position=30)
        add_kinds("breeding.buyers.mending.kinds.KINDS")
        add_spoken_for("buyers", kept_for)
        add_wanted("buyers", number_waiting)
        add_found(*FOUND)
