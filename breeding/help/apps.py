"""Django's card for the room `help`."""

from django.apps import AppConfig


class HelpConfig(AppConfig):
    name = "breeding.help"
    label = "help"

    def ready(self) -> None:
        from breeding.help.first_steps import after_act_panel, first_steps_panel, next_step_panel
        from breeding.program.panels import add_panel

        add_panel("agenda:day", "first_steps", first_steps_panel, position=10)
        add_panel("program:empty", "next_step", next_step_panel, position=10)
        add_panel("program:receipt", "next_step", after_act_panel, position=10)
