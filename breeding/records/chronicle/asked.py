"""What a chronicle is asked for: kind, days, who wrote it and when, which animal, which words."""

import datetime
import re
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.program.lists.narrowing import FIRST_DAY, LAST_DAY, MOST_WORDS, DayAskedField
from breeding.program.models import Person
from breeding.program.typed.numbers import TypedWhole
from breeding.records.chronicle.kinds import KINDS, Kind
from breeding.words.days import long_day
from breeding.words.language import tell

Date = datetime.date
EPOCH = datetime.datetime(1970, 1, 1, tzinfo=datetime.UTC)
MICROSECOND = datetime.timedelta(microseconds=1)
PLACE_SHAPE = re.compile(r"(-?[0-9]{1,18})\.([0-9]{1,3})\.([0-9]{1,18})\Z", re.A)


@dataclass(frozen=True, order=True)
class Place:
    """Where an entry stands in its chronicle: its moment, its source, its record.

    What is known to the day alone stands at the beginning of that day.
    """

    at: datetime.datetime
    rank: int
    pk: int

    def __str__(self) -> str:
        return f"{(self.at - EPOCH) // MICROSECOND}.{self.rank}.{self.pk}"

    @classmethod
    def read(cls, text: str) -> "Place":
        """Raises ValueError."""
        found = PLACE_SHAPE.match(text)
        if found is None:
            raise ValueError(text)
        at, rank, pk = map(int, found.groups())
        try:
            return cls(EPOCH + at * MICROSECOND, rank, pk)
        except OverflowError:
            raise ValueError(text) from None


@dataclass(frozen=True)
class Asked:
    """What is asked, as of today. `animals` None: of the whole program; `before`: only what stands
    below it."""

    today: Date
    may_write: bool
    animals: tuple[Animal, ...] | None = None
    kind: Kind | None = None
    since: Date | None = None
    until: Date | None = None
    by: Person | None = None
    written_since: Date | None = None
    written_until: Date | None = None
    words: Sequence[str] = ()
    withdrawn: bool = False
    before: Place | None = None
    sees_buyers: bool = False

    @property
    def reads_buyers(self) -> bool:
        """Whether it may name buyers, and tell what is written of them."""
        return self.may_write or self.sees_buyers

    @property
    def key(self) -> tuple[Hashable, ...]:
        """All of it as something to keep an answer under."""
        own = {one.name: getattr(self, one.name) for one in fields(self)}
        whose = None if self.animals is None else tuple(one.pk for one in self.animals)
        by = self.by and self.by.pk
        return tuple((own | {"animals": whose, "by": by, "words": tuple(self.words)}).items())

    def of_every_day(self) -> "Asked":
        """The same, whenever it was and of whatever kind."""
        return replace(self, since=None, until=None, kind=None, before=None)


def midnight(on: Date) -> datetime.datetime:
    """The beginning of a day where the program is."""
    return timezone.make_aware(datetime.datetime.combine(on, datetime.time.min))


def day_after(on: Date) -> Date:
    return on + datetime.timedelta(days=1)


class AnimalAskedField(forms.CharField):
    """A code or a name; cleans to the animals that are called so."""

    def clean(self, value: Any) -> list[Animal]:
        text = super().clean(value).strip()
        if not text:
            return []
        found = list(Animal.objects.filter(Q(code__iexact=text) | Q(call_name__iexact=text)))
        if not found:
            raise ValidationError(
                tell(
                    "There is no “{text}” here; allowed is the code or the name of an animal on "
                    "record.",
                    text=text,
                )
            )
        return found


class PlaceField(forms.CharField):
    """Where the page before it ended, as its link says it."""

    widget = forms.HiddenInput

    def clean(self, value: Any) -> Place | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return Place.read(text)
        except ValueError:
            raise ValidationError(
                tell(
                    "“{text}” is not a place in a chronicle; go there by the link “Earlier”.",
                    text=text,
                )
            ) from None


class AnimalChronicleForm(forms.Form):
    """What one animal's chronicle is asked for."""

    BY_LINKS: ClassVar[tuple[str, ...]] = ("kind", "year", "before")
    PAIRS: ClassVar[tuple[tuple[str, str], ...]] = (("since", "until"),)

    since = DayAskedField(required=False, label=_("Happened since"))
    until = DayAskedField(required=False, label=_("Happened until"))
    withdrawn = forms.BooleanField(required=False, label=_("Withdrawn too"))
    kind = forms.ChoiceField(
        required=False,
        widget=forms.HiddenInput,
        choices=[("", _("any")), *((one.key, one.label) for one in KINDS.values())],
    )
    year = TypedWhole(
        required=False,
        widget=forms.HiddenInput,
        min_value=FIRST_DAY.year,
        max_value=LAST_DAY.year,
    )
    before = PlaceField(required=False, max_length=60)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for first, last in self.PAIRS:
            since, until = cleaned.get(first), cleaned.get(last)
            if since and until and since > until:
                words = tell(
                    "{day} is before {earlier_day}; the second is the later.",
                    day=long_day(until),
                    earlier_day=long_day(since),
                )
                self.add_error(last, words)
        return cleaned

    @property
    def shown_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name not in self.BY_LINKS]

    @property
    def errors_of_links(self) -> list[str]:
        """What is wrong with what no field on the page shows."""
        return [str(error) for name in self.BY_LINKS for error in self[name].errors]

    @property
    def asks_more(self) -> bool:
        """Whether one of the fields on the page is used."""
        return any(field.value() for field in self.shown_fields)

    def asked(self, everything: Asked) -> Asked:
        """What is asked of all that this person may read, once the form is valid."""
        given = self.cleaned_data
        since, until, year = given["since"], given["until"], given["year"]
        if year:
            since = max(since or FIRST_DAY, Date(year, 1, 1))
            until = min(until or LAST_DAY, Date(year, 12, 31))
        return replace(
            everything,
            kind=KINDS.get(given["kind"]),
            since=since,
            until=until,
            withdrawn=given["withdrawn"],
            before=given["before"],
        )


class ChronicleForm(AnimalChronicleForm):
    """What the program's chronicle is asked for: also by word, animal and person."""

    PAIRS: ClassVar[tuple[tuple[str, str], ...]] = (
        ("since", "until"),
        ("written_since", "written_until"),
    )

    q = forms.CharField(
        required=False,
        max_length=200,
        label=_("Search"),
        widget=forms.TextInput(attrs={"type": "search", "placeholder": _("a word in a record")}),
    )
    animal = AnimalAskedField(required=False, max_length=60, strip=True, label=_("Animal"))
    by = forms.ModelChoiceField(
        Person.objects.order_by("first_name", "username"),
        required=False,
        empty_label=_("anybody"),
        label=_("Written by"),
    )
    written_since = DayAskedField(required=False, label=_("Written since"))
    written_until = DayAskedField(required=False, label=_("Written until"))

    field_order = ("q", "animal", "since", "until", "written_since", "written_until", "by")

    def asked(self, everything: Asked) -> Asked:
        given = self.cleaned_data
        return replace(
            super().asked(everything),
            animals=tuple(given["animal"]) or everything.animals,
            by=given["by"],
            written_since=given["written_since"],
            written_until=given["written_until"],
            words=given["q"].split()[:MOST_WORDS],
        )
