"""A day and time as typed, also in the hour that a night in autumn has twice."""

import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from breeding.words.clock import clock_time
from breeding.words.days import day_in_figures, moment_in_figures
from breeding.words.language import sentences, tell


class MomentField(forms.DateTimeField):
    """A moment where the program is; of an hour that comes twice, the first, and it is said so.

    The first is never still to come when the second has begun. An hour that clocks skip in spring
    is refused: nothing was seen in it.
    """

    def to_python(self, value: Any) -> datetime.datetime | None:
        try:
            return super().to_python(value)
        except ValidationError as problem:
            if getattr(problem, "code", "") != "ambiguous_timezone":
                raise
        with timezone.override(datetime.UTC):
            typed = super().to_python(value)
        assert typed is not None  # noqa: S101 - it was a moment, only not one alone
        zone = timezone.get_current_timezone()
        at = typed.replace(tzinfo=zone, fold=0)
        if not is_doubled(at):
            raise ValidationError(
                tell(
                    "{moment} does not exist in {zone}: clocks went forward over it; choose an "
                    "hour before or after.",
                    moment=moment_in_figures(at),
                    zone=zone,
                ),
                code="skipped",
            )
        return at


def is_doubled(at: datetime.datetime) -> bool:
    """Whether that hour comes twice where the moment is: clocks go back over it.

    >>> from zoneinfo import ZoneInfo
    >>> night = datetime.datetime(2026, 10, 25, 1, 30, tzinfo=ZoneInfo("Europe/London"))
    >>> is_doubled(night), is_doubled(night.replace(hour=3))
    (True, False)
    """
    first, second = (at.replace(fold=fold).utcoffset() for fold in (0, 1))
    return first is not None and second is not None and first > second


def doubled_words(form: forms.BaseForm) -> str:
    """What is to be said of the moments typed in a form; "" where none is doubtful."""
    said = []
    for name in form.changed_data:
        at = form.cleaned_data.get(name)
        if isinstance(form.fields[name], MomentField) and at is not None and is_doubled(at):
            said.append(
                tell(
                    "{time} came twice in the night of {day}: the first one counts.",
                    time=clock_time(at),
                    day=day_in_figures(at.date()),
                )
            )
    return sentences(*said)
