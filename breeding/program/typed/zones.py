"""Time zones: a field to type one into, with those of every country offered while typing."""

import unicodedata
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.words.language import sentences, tell
from breeding.words.numbers import joined


def examples_words() -> str:
    """Two zones, as a field says what it takes."""
    return tell("{one} or {other}", one="Europe/Berlin", other="America/Chicago")


@cache
def known_zones() -> frozenset[str]:
    """Every name this computer knows; found once, for it is a walk over some 600 files."""
    return frozenset(available_timezones())


@cache
def zones_offered() -> tuple[str, ...]:
    """One name for each place of the time zone database, and UTC; older names are taken too.

    Source: zone.tab of the tz database (IANA), as it comes with the package tzdata.
    """
    rows = (files("tzdata") / "zoneinfo" / "zone.tab").read_text("utf-8").splitlines()
    names = {row.split("\t")[2] for row in rows if row and not row.startswith("#")}
    return (*sorted(names & known_zones()), "UTC")


def machine_zone() -> str:
    """The time zone this computer is set to, as far as it says; else UTC."""
    named = str(Path("/etc/localtime").resolve()).partition("zoneinfo/")[2]
    return named if named in known_zones() else "UTC"


def read_zone(typed: str) -> str:
    """A zone as people type it: capitals and spaces do not matter, and a town is enough where no
    other zone is called after one of that name. Raises ValidationError.

    >>> read_zone("america/new york"), read_zone("utc"), read_zone("Berlin")
    ('America/New_York', 'UTC', 'Europe/Berlin')
    """
    wanted = "_".join(folded(typed).split())
    for name in sorted(known_zones()):
        if name.casefold() == wanted:
            return name
    named = _named_after(wanted)
    if len(named) == 1:
        return named[0]
    raise ValidationError(_no_zone(typed, wanted, named))


def folded(typed: str) -> str:
    """Without capitals, and without the marks over letters, which no zone has in its name.

    >>> folded("Zürich")
    'zurich'
    """
    parted = unicodedata.normalize("NFKD", typed)
    return "".join(one for one in parted if not unicodedata.combining(one)).casefold()


def _named_after(town: str) -> list[str]:
    """The zones that bear this town's name behind their continent."""
    return [name for name in zones_offered() if name.casefold().rpartition("/")[2] == town]


def _no_zone(typed: str, wanted: str, named: list[str]) -> str:
    by_place = {name.casefold(): name for name in zones_offered()}
    near = named or [by_place[key] for key in get_close_matches(wanted[:60], by_place, 3, 0.75)]
    name, examples = typed[:60], examples_words()
    if not near:
        return tell(
            "“{name}” is not a time zone; write it like {examples}.", name=name, examples=examples
        )
    return tell(
        "“{name}” is not a time zone; write it like {examples}. Did you mean {places}?",
        name=name,
        examples=examples,
        places=joined(near, "or"),
    )


class ZoneInput(forms.TextInput):
    """A line to type into; the browser offers what begins or goes on like that."""

    template_name = "program/_suggesting_input.html"

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        context["widget"]["attrs"]["list"] = f"{name}_offered"
        context["widget"]["suggestions"] = zones_offered()
        return context


class ZoneField(forms.CharField):
    """A time zone by its name."""

    @property
    def allowed(self) -> str:
        return tell("a place like {examples}", examples=examples_words())

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("help_text", _("Type the nearest large town and choose, or write UTC."))
        attrs = {"autocomplete": "off", "autocapitalize": "off", "spellcheck": "false"}
        super().__init__(max_length=60, widget=ZoneInput(attrs=attrs), **kwargs)

    def clean(self, value: Any) -> str:
        typed: str = super().clean(value)
        return read_zone(typed) if typed else typed


def taken_words(form: forms.BaseForm) -> str:
    """Which zones were taken for towns that a form names alone; "" where it names none."""
    said = []
    for name, field in form.fields.items():
        zone, typed = form.cleaned_data.get(name), str(form[name].value() or "")
        if isinstance(field, ZoneField) and zone and is_town_alone(typed, zone):
            said.append(tell("“{typed}” is the time zone {zone}.", zone=zone, typed=typed.strip()))
    return sentences(*said)


def is_town_alone(typed: str, zone: str) -> bool:
    """Whether a zone was named by its town.

    >>> is_town_alone("berlin", "Europe/Berlin"), is_town_alone("europe/berlin", "Europe/Berlin")
    (True, False)
    """
    return "/" in zone and "/" not in typed
