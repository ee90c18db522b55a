"""Django's card for the room `agenda`."""

from django.apps import AppConfig


class AgendaConfig(AppConfig):
    name = "breeding.agenda"
    label = "agenda"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """The running server sends the digests by itself; whoever answers a line has looked."""
        from breeding.agenda.looked import answered_days
        from breeding.agenda.mending import KINDS
        from breeding.agenda.outbox import remind
        from breeding.pairings.season.looked import add_source
        from breeding.program.acts.mending import add_kinds
        from breeding.program.background import each_minute

        each_minute("remind", remind)
        add_source(answered_days)
        add_kinds(*KINDS)
