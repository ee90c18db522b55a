"""Django's card for the room `exchange`."""

from django.apps import AppConfig


class ExchangeConfig(AppConfig):
    name = "breeding.exchange"
    label = "exchange"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """An animal's page leads to its ancestry as data, and says from whose word it comes."""
        from breeding.exchange.found import FOUND
        from breeding.exchange.keys.cut_short import settle_before_serving
        from breeding.program.acts.mending import add_kinds
        from breeding.program.acts.receipts import add_never_undone
        from breeding.program.acts.undoing import put_back
        from breeding.program.found import add_found
        from breeding.program.late import late
        from breeding.program.panels import add_panel
        from breeding.program.serving.refusals import before_serving
        from breeding.sheets.carried import add_carried
        from breeding.sheets.sealing.said_above import add_key_said

        add_kinds("breeding.exchange.mending.KINDS")
        add_carried(late("breeding.exchange.giving.carried_by_sheet"))
        add_key_said(late("breeding.exchange.keys.reading.said_of"))
        add_found(*FOUND)
        add_panel(
            "animals:detail", "exchange", "breeding.exchange.panels.ancestry_panel", position=62
        )
        add_panel("sheets:sharing", "exchange", "breeding.exchange.panels.keys_panel", position=10)
        add_panel(
            "identity:alike", "exchange", "breeding.exchange.panels.one_animal_panel", position=10
        )
        add_panel(
            "identity:answer", "exchange", "breeding.exchange.panels.proof_panel", position=10
        )
        before_serving("keys", settle_before_serving)
        put_back.connect(late("breeding.exchange.keys.own.refuse_unsaying"), weak=False)
        add_never_undone("exchange.heldkeyword", "is_own", "True")
