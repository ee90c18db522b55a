"""Django's card for the room `program`."""

from django.apps import AppConfig


class ProgramConfig(AppConfig):
    name = "breeding.program"
    label = "program"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from breeding.program.language.names import say_names

        say_names()  # before any form is read, which takes them as they are
        self._speak()
        self._listen()

    def _speak(self) -> None:
        from django.utils import translation

        from breeding.program.language import environment
        from breeding.words.language import Translator, speak_through

        speak_through(Translator(translation.gettext, translation.ngettext, translation.pgettext))
        environment.speak_as_the_shell()

    def _listen(self) -> None:
        from breeding.program.access import (  # noqa: F401, they listen
            owners,
            sessions,
            slowing,
            two_step,
        )
        from breeding.program.backup.daily import take_daily
        from breeding.program.kept.store import put_away_old
        from breeding.program.serving.background import each_minute
        from breeding.program.unchanged import triggers

        each_minute("put away what nobody asked for", put_away_old)
        each_minute("take the day's backup", take_daily)
        each_minute("put marks of tables together", triggers.put_together)
