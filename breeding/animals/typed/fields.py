"""Form fields for animals: a birth date no more exact than it is known, and a photograph."""

import datetime
import re
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.animals.pictures.portraits import ReadPicture, read_picture
from breeding.animals.typed.births import plain_birth
from breeding.animals.typed.chips import plain_chip, validate_chip
from breeding.words.days import long_day
from breeding.words.language import tell

_BIRTH = re.compile(r"(?P<year>\d{4})(?:-(?P<month>\d{1,2})(?:-(?P<day>\d{1,2}))?)?")
_WITH_POINTS = re.compile(r"(?:(?P<day>\d{1,2})\. ?)?(?P<month>\d{1,2})\. ?(?P<year>\d{4})")
EARLIEST_YEAR = 1950


@dataclass(frozen=True)
class Birth:
    """A birth date with how exactly it is known."""

    on: datetime.date | None = None
    precision: str = Animal.Precision.UNKNOWN


def read_birth(typed: str, *, today: datetime.date | None = None) -> Birth:
    """2024-05-03 to the day, 2024-05 to the month, 2024 to the year, nothing: unknown.

    With points the day stands first, as 3.5.2024 and 5.2024.
    Raises ValidationError that names what was typed and what is allowed; its code is one of
    not_a_date, no_such_day, too_early and to_come, its parameter `why` what follows on the typed.
    """
    text = typed.strip()
    if not text or text.lower() in ("unknown", tell("unknown").lower()):
        return Birth()
    match = _BIRTH.fullmatch(text) or _WITH_POINTS.fullmatch(text)
    if match is None:
        raise _no_birth(
            typed,
            "not_a_date",
            tell(
                "is not a birth date; write 2024-05-03, or 2024-05 or 2024 when only that is known."
            ),
        )
    year, month, day = match["year"], match["month"], match["day"]
    try:
        on = datetime.date(int(year), int(month or 1), int(day or 1))
    except ValueError:
        why = tell(
            "is not a day of the calendar; write 2024-05-03, or 2024-05 or 2024 when only that is "
            "known."
        )
        raise _no_birth(typed, "no_such_day", why) from None
    if on.year < EARLIEST_YEAR:
        why = tell("is too long ago; the earliest year is {year}.", year=EARLIEST_YEAR)
        raise _no_birth(typed, "too_early", why)
    if today is not None and on > today:
        why = tell("is still to come; a birth is entered once it has been.")
        raise _no_birth(typed, "to_come", why)
    precision = "day" if day else "month" if month else "year"
    return Birth(on, precision)


def _no_birth(typed: str, code: str, why: str) -> ValidationError:
    words = tell("“%(typed)s” %(why)s")
    return ValidationError(words, code=code, params={"typed": typed, "why": why})


def check_past_day(on: datetime.date, today: datetime.date) -> None:
    """Raise ValidationError for a day to come, or before there were such records."""
    if on > today:
        raise ValidationError(tell("{day} is still to come; today or before.", day=long_day(on)))
    if on.year < EARLIEST_YEAR:
        raise ValidationError(
            tell(
                "{day} is too long ago; the earliest year is {year}.",
                day=on,
                year=EARLIEST_YEAR,
            )
        )


def possible_moment(at: datetime.datetime | None) -> datetime.datetime | None:
    """A moment as it was typed, by the clock here. Raises ValidationError for a year that cannot
    be."""
    if at is not None and not EARLIEST_YEAR <= at.year < 9999:
        raise ValidationError(
            tell(
                "The year {year} is not possible; from {earliest} on.",
                year=at.year,
                earliest=EARLIEST_YEAR,
            )
        )
    return timezone.localtime(at) if at is not None else None


def write_birth(animal: Animal) -> str:
    """The birth date as it is typed."""
    if animal.born_on is None:
        return ""
    return animal.born_on.isoformat()[: {"year": 4, "month": 7}.get(animal.born_precision, 10)]


class BirthField(forms.CharField):
    """Cleans to a Birth, written in figures or as one says it."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("help_text", _("2024-05-03, or 2024-05 or 2024 when only that is known."))
        super().__init__(max_length=30, required=False, **kwargs)
        self.today: datetime.date | None = None

    def clean(self, value: Any) -> Birth:
        typed = super().clean(value)
        try:
            return read_birth(plain_birth(typed), today=self.today)
        except ValidationError as problem:
            if why := (problem.params or {}).get("why"):  # with what was typed, not what it is
                raise _no_birth(typed, problem.code or "", why) from None
            raise


class PhotographField(forms.FileField):
    """Cleans to a picture that has been read: before the act that keeps it begins, not within."""

    widget = forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp"})

    def clean(self, data: Any, initial: Any = None) -> ReadPicture | None:
        file = super().clean(data, initial)
        if not file:
            return None
        try:
            return read_picture(file)
        except ValueError as problem:
            raise ValidationError(str(problem)) from None


class ChipField(forms.CharField):
    """The number of a chip, typed with or without spaces, or by a reader."""

    default_validators = [validate_chip]

    def __init__(self, **kwargs: Any) -> None:
        keys = forms.TextInput(attrs={"autocapitalize": "characters", "spellcheck": "false"})
        super().__init__(max_length=40, widget=keys, **kwargs)

    def to_python(self, value: Any) -> str:
        return plain_chip(super().to_python(value) or "")
