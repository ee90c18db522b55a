"""Django's card for the room `help`."""

from django.apps import AppConfig


class HelpConfig(AppConfig):
    name = "breeding.help"
    label = "help"

    def ready(self) -> None:
        from breeding.program.panels import add_panel

        add_panel(
            "agenda:day", "first_steps", "breeding.help.first_steps.first_steps_panel", position=10
        )
        add_panel(
            "program:empty", "next_step", "breeding.help.first_steps.next_step_panel", position=10
        )
        add_panel(
            "program:receipt", "next_step", "breeding.help.first_steps.after_act_panel", position=10
        )
