"""Django's card for the room `exchange`."""

from django.apps import AppConfig


class ExchangeConfig(AppConfig):
    name = "breeding.exchange"
    label = "exchange"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """An animal's page leads to its ancestry as data, and says from whose word it comes."""
        from breeding.exchange.found import FOUND
        from breeding.exchange.giving import carried_by_sheet
        from breeding.exchange.keys.own import refuse_unsaying, settle_before_serving
        from breeding.exchange.mending import KINDS
        from breeding.exchange.panels import (
            ancestry_panel,
            keys_panel,
            one_animal_panel,
            proof_panel,
        )
        from breeding.program.acts.mending import add_kinds
        from breeding.program.acts.receipts import add_never_undone
        from breeding.program.acts.undoing import put_back
        from breeding.program.found import add_found
        from breeding.program.panels import add_panel
        from breeding.program.serving.refusals import before_serving
        from breeding.sheets.carried import add_carried

        add_kinds(*KINDS)
        add_carried(carried_by_sheet)
        add_found(*FOUND)
        add_panel("animals:detail", "exchange", ancestry_panel, position=62)
        add_panel("sheets:sharing", "exchange", keys_panel, position=10)
        add_panel("identity:alike", "exchange", one_animal_panel, position=10)
        add_panel("identity:answer", "exchange", proof_panel, position=10)
        before_serving("keys", settle_before_serving)
        put_back.connect(refuse_unsaying)
        add_never_undone("exchange.heldkeyword", "is_own", "True")
