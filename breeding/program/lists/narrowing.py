"""What lists are narrowed by: words, days, people, and whether a record still counts."""

import datetime
from collections.abc import Iterable, Mapping
from typing import Any, ClassVar

import django_filters as filters
from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db.models import DateTimeField, Q, QuerySet
from django.http import QueryDict
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from breeding.program.forms import DayInput
from breeding.program.generics import Words
from breeding.program.models import Person
from breeding.words.days import long_day
from breeding.words.language import tell

FIRST_DAY, LAST_DAY = datetime.date(1900, 1, 1), datetime.date(2999, 12, 31)
MOST_WORDS = 8


class DayAskedField(forms.DateField):
    """A day that a list is asked for."""

    widget = DayInput

    @property
    def allowed(self) -> str:
        return tell(
            "a day from {first} to {last}, written like 2026-03-31", first=FIRST_DAY, last=LAST_DAY
        )

    def __init__(self, **kwargs: Any) -> None:
        limits = [MinValueValidator(FIRST_DAY), MaxValueValidator(LAST_DAY)]
        super().__init__(validators=limits, **kwargs)


class ListForm(forms.Form):
    """What a list is asked for; two days in their order."""

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        since, until = cleaned.get("since"), cleaned.get("until")
        if since and until and since > until:
            self.add_error(
                "until",
                tell(
                    "{until} is before {since}; the second is the later.",
                    until=long_day(until),
                    since=long_day(since),
                ),
            )
        return cleaned


class ListFilter(filters.FilterSet):
    """What a list can be narrowed to; the fields named in `folded` stand under one line."""

    folded: ClassVar[tuple[str, ...]] = ()
    folded_words: ClassVar[Words] = _("By day and more")
    of_buyers: ClassVar[tuple[str, ...]] = ()  # only for who may see buyers

    class Meta:
        form = ListForm

    def __init__(self, data: QueryDict, *args: Any, **kwargs: Any) -> None:
        asked = data.copy()
        for name, value in self.defaults().items():
            asked.setdefault(name, value)
        super().__init__(asked, *args, **kwargs)
        if self.request is not None and not self.request.user.may_see_buyers:
            for name in self.of_buyers:
                del self.filters[name]

    @classmethod
    def defaults(cls) -> dict[str, str]:
        """What is asked while the address says nothing of it."""
        given = {name: one.extra.get("initial") for name, one in cls.base_filters.items()}
        return {name: value for name, value in given.items() if value is not None}

    @property
    def plain_fields(self) -> list[forms.BoundField]:
        return [self.form[name] for name in self.form.fields if name not in self.folded]

    @property
    def folded_fields(self) -> list[forms.BoundField]:
        return [self.form[name] for name in self.folded]

    @property
    def asks_folded(self) -> bool:
        """Whether one of the folded fields is used."""
        return self._ask(self.folded_fields)

    @property
    def is_narrowed(self) -> bool:
        """Whether anything is asked beside what a fresh page asks."""
        return self._ask(self.form)

    def _ask(self, fields: Iterable[forms.BoundField]) -> bool:
        usual = self.defaults()
        return any((field.value() or "") != usual.get(field.name, "") for field in fields)


class SearchFilter(filters.CharFilter):
    """Words of which each must stand in one of these fields.

    Those in `of_buyers` only for who may see buyers: nobody guesses at them by searching.
    """

    def __init__(
        self, *fields: str, placeholder: Words = "", of_buyers: tuple[str, ...] = ()
    ) -> None:
        widget = forms.TextInput(attrs={"type": "search", "placeholder": placeholder})
        super().__init__(label=_("Search"), widget=widget, max_length=200)
        self.fields, self.of_buyers = fields, of_buyers

    def filter(self, rows: QuerySet[Any], value: str) -> QuerySet[Any]:
        asking = getattr(self.parent, "request", None)
        sees_buyers = asking is not None and asking.user.may_see_buyers
        fields = [*self.fields, *(self.of_buyers if sees_buyers else ())]
        for word in (value or "").split()[:MOST_WORDS]:
            found = Q()
            for field in fields:
                found |= Q(**{f"{field}__icontains": word})
            rows = rows.filter(found)
        return rows


class DayFilter(filters.Filter):
    """From a day on, or up to it and with it; of a moment, by the program's clock."""

    field_class = DayAskedField

    def __init__(self, field_name: str, *, is_end: bool = False) -> None:
        super().__init__(field_name=field_name, label=_("Until") if is_end else _("Since"))
        self.is_end = is_end

    def filter(self, rows: QuerySet[Any], value: datetime.date | None) -> QuerySet[Any]:
        if value is None:
            return rows
        if not isinstance(rows.model._meta.get_field(self.field_name), DateTimeField):
            return rows.filter(**{f"{self.field_name}__{'lte' if self.is_end else 'gte'}": value})
        on = value + datetime.timedelta(days=self.is_end)
        midnight = timezone.make_aware(datetime.datetime.combine(on, datetime.time.min))
        return rows.filter(**{f"{self.field_name}__{'lt' if self.is_end else 'gte'}": midnight})


class PersonFilter(filters.ModelChoiceFilter):
    """Who wrote a record."""

    def __init__(self, field_name: str = "recorded_by") -> None:
        people = Person.objects.order_by("first_name", "username")
        super().__init__(
            field_name=field_name, queryset=people, empty_label=_("anybody"), label=_("By")
        )


class ChosenFilter(filters.ChoiceFilter):
    """One of a few states, each a condition; the first is what a fresh page shows.

    A state without a condition is everything.
    """

    def __init__(self, states: Mapping[str, tuple[Words, Q | None]], *, label: Words) -> None:
        first = next(iter(states))
        choices = [(key, words) for key, (words, _) in states.items()]
        super().__init__(choices=choices, initial=first, empty_label=None, label=label)
        self.conditions = {key: condition for key, (_, condition) in states.items()}

    def filter(self, rows: QuerySet[Any], value: str) -> QuerySet[Any]:
        condition = self.conditions.get(value)
        return rows if condition is None else rows.filter(condition)


def counting_filter() -> ChosenFilter:
    """Records that count, those withdrawn, or both."""
    withdrawn = Q(withdrawn_at__isnull=False)
    states: dict[str, tuple[Words, Q | None]] = {
        "counting": (_("that count"), ~withdrawn),
        "withdrawn": (_("withdrawn"), withdrawn),
        "all": (_("both"), None),
    }
    return ChosenFilter(states, label=_("Records"))
