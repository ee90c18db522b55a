"""Django's card for the room `finding`."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate


class FindingConfig(AppConfig):
    name = "breeding.finding"
    label = "finding"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """The index is made when tables are; what was erased is erased from it as well."""
        from breeding.finding.index.building import (
            after_migrating,
            before_migrating,
            forget_what_was_erased,
        )
        from breeding.finding.models import Entry
        from breeding.program.acts.erasing import erase_by
        from breeding.program.panels import add_panel

        add_panel("animals:detail", "card", "breeding.finding.panels.card_panel", position=95)
        add_panel("housing:detail", "card", "breeding.finding.panels.card_panel", position=95)
        pre_migrate.connect(before_migrating, sender=self)
        post_migrate.connect(after_migrating, sender=self)
        erase_by(Entry, forget_what_was_erased)
