"""Choosing a language and a clock, on one's own page and for the program."""

from typing import Any

from django import forms
from django.conf import settings
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _


def languages() -> list[tuple[str, str]]:
    """All that can be chosen, each under its own name."""
    return list(settings.LANGUAGES)


def as_asked_or_one() -> list[tuple[str, Any]]:
    return [("", _("As my browser asks")), *languages()]


def programs_or_one() -> list[tuple[str, Any]]:
    return [("", _("As the program")), *languages()]


def buyers_or_one() -> list[tuple[str, Any]]:
    return [("", _("The buyer's, else the program's")), *languages()]


class OwnLanguageForm(forms.Form):
    """In which language and by which clock one reads pages and mails."""

    language = forms.ChoiceField(choices=as_asked_or_one, required=False, label=_("Language"))
    clock = forms.ChoiceField(
        choices=[
            ("", _("As the language has it")),
            ("24", _("24 hours, like 14:05")),
            ("12", _("12 hours, like 2:05 pm")),
        ],
        required=False,
        label=_("Clock"),
    )


class LanguageField(forms.ChoiceField):
    """One of the languages there are; the one that is read now is proposed."""

    def __init__(self, **kwargs: Any) -> None:
        named: dict[str, Any] = {"choices": languages, "required": False, "initial": get_language}
        super().__init__(**(named | {"label": _("Language")} | kwargs))
