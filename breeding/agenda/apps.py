"""Django's card for the room `agenda`."""

from django.apps import AppConfig


class AgendaConfig(AppConfig):
    name = "breeding.agenda"
    label = "agenda"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """The running server reckons the day and sends the digests by itself.

        Whoever answers a line has looked.
        """
        from breeding.agenda.beforehand import keep_the_day_ready
        from breeding.agenda.found import FOUND
        from breeding.agenda.house import marks_of_the_day
        from breeding.agenda.looked import answered_days
        from breeding.agenda.own.erasing import empty_reminders
        from breeding.agenda.sent.outbox import remind
        from breeding.buyers.erasing import erase_with_contact
        from breeding.housing.house.marks import add_marks
        from breeding.pairings.season.looked import add_source
        from breeding.program.acts.mending import add_kinds
        from breeding.program.found import add_found
        from breeding.program.offline.readable import fetch_ahead
        from breeding.program.panels import add_panel
        from breeding.program.serving.background import each_minute
        from breeding.words.language import message

        each_minute("reckon the day", keep_the_day_ready, in_every_process=True)
        each_minute("remind", remind)
        fetch_ahead("agenda:day", message("The day"))
        fetch_ahead("agenda:cards", message("Everybody, on cards"))
        fetch_ahead("pairings:log", message("The log"), for_keepers=True)
        fetch_ahead("program:care", message("Care and emergencies"))
        add_source(answered_days)
        add_marks("day", marks_of_the_day)
        add_kinds("breeding.agenda.mending.KINDS")
        add_kinds("breeding.agenda.own.mending.KINDS")
        for page in ("animals:detail", "housing:detail", "buyers:detail"):
            add_panel(page, "reminders", "breeding.agenda.own.panels.reminders_panel", position=50)
        erase_with_contact("agenda.Reminder", empty_reminders)
        add_found(*FOUND)
