"""Django's card for the room `sheets`."""

from django.apps import AppConfig


class SheetsConfig(AppConfig):
    name = "breeding.sheets"
    label = "sheets"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Its sheets stand on an animal's page, on a contact's and on that of all buyers."""
        from breeding.buyers.mending.said_above import add_words_of_letting_go
        from breeding.litters.births.said_above import add_words_before_change
        from breeding.program.acts.erasing import erase_by
        from breeding.program.acts.mending import add_kinds
        from breeding.program.found import add_found
        from breeding.program.panels import add_panel
        from breeding.program.serving.refusals import before_serving
        from breeding.sheets.differing import sheets_of_litter, sheets_of_reservation
        from breeding.sheets.erasing import erase_from_sheets
        from breeding.sheets.found import FOUND
        from breeding.sheets.models import Sheet
        from breeding.sheets.sealing.lost_key import check_the_key

        add_panel(
            "animals:detail", "sheets", "breeding.sheets.panels.sheets_of_animal", position=31
        )
        add_panel(
            "buyers:detail", "sheets", "breeding.sheets.panels.sheets_of_contact", position=10
        )
        add_panel("buyers:index", "sheets", "breeding.sheets.panels.latest_sheets", position=10)
        add_kinds("breeding.sheets.mending.KINDS")
        add_words_before_change("sheets", sheets_of_litter)
        add_words_of_letting_go("sheets", sheets_of_reservation)
        before_serving("sheets", check_the_key)
        erase_by(Sheet, erase_from_sheets)
        add_found(*FOUND)
