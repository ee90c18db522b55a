"""A source of entries: one dated thing of one kind of record, asked for no more than is shown."""

import datetime
from collections.abc import Callable, Collection, Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from auditlog.models import LogEntry
from django.db import models
from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Value
from django.db.models.expressions import Combinable
from django.db.models.functions import Cast, Coalesce, TruncDate
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.records.chronicle.asked import Asked, Place, day_after, midnight
from breeding.records.chronicle.entry import Telling, Told, has_field
from breeding.records.chronicle.kinds import Kind

Column = str | Combinable
SORTS = (models.DateField, models.DateTimeField, models.TextField)  # what a day can be kept as


def everything(asked: Asked) -> Q:
    return Q()


def as_it_is(rows: QuerySet[Any]) -> QuerySet[Any]:
    return rows


@dataclass(frozen=True)
class Source:
    """One dated thing that a kind of record tells.

    day: the column it is dated by. tell: what is said of a record. animals: the columns that name
    who it is about; without any it stands in the program's chronicle alone. related: rows that
    the words need. words: the columns in which words are looked for. only: which records tell it.
    or_written: a record without that day stands where it was written down. written, by: when and
    by whom it was written. about: the records of these animals, where columns do not say it.
    """

    kind: Kind
    model: type[models.Model]
    day: Column
    tell: Callable[[Any, Telling], Told]
    animals: tuple[str, ...] = ()
    related: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    only: Callable[[Asked], Q] = everything
    or_written: bool = False
    written: Column = "recorded_at"
    by: Column = "recorded_by"
    for_keepers: bool = False
    about: Callable[[list[Animal]], Q] | None = None
    prepared: Callable[[QuerySet[Any]], QuerySet[Any]] = as_it_is
    before: Mapping[str, Any] = field(default_factory=dict)  # annotations that `only` needs

    def serves(self, asked: Asked) -> bool:
        """Whether it can have anything of what is asked."""
        if self.for_keepers and not asked.may_write:
            return False
        if self.is_of_buyers and not self.animals and not asked.reads_buyers:
            return False
        if asked.animals is not None and not self.animals and self.about is None:
            return False
        return bool(self._words(asked)) or not asked.words

    @property
    def is_of_buyers(self) -> bool:
        """Whether it tells of buyers: of a contact, or of an animal and a contact."""
        return self.model._meta.app_label in ("buyers", "arrivals")

    def _words(self, asked: Asked) -> tuple[str, ...]:
        """Nobody finds a buyer by searching for what the page does not say."""
        if asked.reads_buyers:
            return self.words
        if self.is_of_buyers:
            return tuple(one for one in self.words if one.startswith("animal__"))
        return tuple(one for one in self.words if not one.startswith("contact__"))

    @property
    def is_moment(self) -> bool:
        """Whether it knows the time of day."""
        return isinstance(self.day, str) and isinstance(
            self.model._meta.get_field(self.day), models.DateTimeField
        )

    @property
    def is_text(self) -> bool:
        """Whether its day is read out of what the history keeps, as 2026-03-31."""
        return not isinstance(self.day, str)

    def rows(self, asked: Asked) -> QuerySet[Any]:
        """The records that are asked for; withdrawn ones where the model has them and asked."""
        rows = self.model._base_manager.annotate(
            told_on=self._day(), told_at=_column(self.written), told_by=_column(self.by)
        )
        rows = rows.annotate(**self.before) if self.before else rows
        rows = rows.filter(self.only(asked), told_on__isnull=False)
        if not asked.withdrawn and has_field(self.model, "withdrawn_at"):
            rows = rows.filter(withdrawn_at__isnull=True)
        if asked.animals is not None:
            rows = rows.filter(self._about(list(asked.animals)))
        for word in asked.words:
            found = Q()
            for column in self._words(asked):
                found |= Q(**{f"{column}__icontains": word})
            rows = rows.filter(found)
        return rows.filter(self._within(asked), _written(asked)).order_by()

    def newest(self, asked: Asked, rank: int, most: int) -> QuerySet[Any]:
        """Where its newest records stand, no more than so many of them, as a part of a union.

        Its day stands in the column of its sort, so that all sources have the same columns.
        """
        rows = self.rows(asked)
        if asked.before is not None:
            rows = rows.filter(self._below(asked.before, rank))
        keys = rows.order_by("-told_on", "-pk").values("pk")[:most]
        day = {f"on_{sort.__name__}": Cast(Value(None), sort()) for sort in SORTS}
        day[f"on_{self._sort.__name__}"] = self._day()
        found = self.model._base_manager.filter(pk__in=keys).annotate(rank=Value(rank), **day)
        places: QuerySet[Any] = found.order_by().values_list("rank", "pk", *day)
        return places

    @property
    def _sort(self) -> type[Any]:
        if self.is_moment:
            return models.DateTimeField
        return models.TextField if self.is_text else models.DateField

    @property
    def read_as(self) -> Hashable:
        """The same for sources whose records one query can load."""
        return self.model, self.related, self.written, self.by, self.prepared

    def load(self, pks: Collection[int]) -> dict[int, Any]:
        """These records with what the words need: one query."""
        rows = self.model._base_manager.filter(pk__in=pks).annotate(
            told_at=_column(self.written), told_by=_column(self.by)
        )
        related = [*self.related]
        if has_field(self.model, "withdrawn_by"):
            related.append("withdrawn_by")
        rows = rows.select_related(*related) if related else rows
        return {one.pk: one for one in self.prepared(rows)}

    def day_of(self, record: Any) -> datetime.date | None:
        """The day of a record that was loaded; None where it has none, or keeps it elsewhere."""
        on = getattr(record, self.day) if isinstance(self.day, str) else None
        return timezone.localtime(on).date() if isinstance(on, datetime.datetime) else on

    def _day(self) -> Any:
        day = _column(self.day)
        return Coalesce(day, TruncDate(str(self.written))) if self.or_written else day

    def _about(self, animals: list[Animal]) -> Q:
        if self.about is not None:
            return self.about(animals)
        found = Q()
        for column in self.animals:
            found |= Q(**{f"{column}__in": [one.pk for one in animals]})
        if any("__" in column for column in self.animals):  # through rows of which there are many
            return Q(pk__in=self.model._base_manager.filter(found).values("pk"))
        return found

    def _within(self, asked: Asked) -> Q:
        found = Q()
        if asked.since:
            found &= Q(told_on__gte=self._from(asked.since))
        if asked.until:
            found &= Q(told_on__lt=self._from(day_after(asked.until)))
        return found

    def _from(self, on: datetime.date) -> datetime.date | str:
        """The first that its column can hold of a day."""
        if self.is_moment:
            return midnight(on)
        return on.isoformat() if self.is_text else on

    def _below(self, place: Place, rank: int) -> Q:
        """What comes after this place, on a page that goes from new to old."""
        same = Q() if rank < place.rank else Q(pk__lt=place.pk)
        none_of_it = rank > place.rank
        if self.is_moment:
            earlier = Q(told_on__lt=place.at)
            return earlier if none_of_it else earlier | Q(told_on=place.at) & same
        on = timezone.localtime(place.at).date()
        if midnight(on) != place.at:
            return Q(told_on__lt=self._from(day_after(on)))
        earlier = Q(told_on__lt=self._from(on))
        return earlier if none_of_it else earlier | Q(told_on=self._from(on)) & same


def places(wanted: Mapping[int, Source], asked: Asked, most: int) -> list[Place]:
    """Where the newest records of these sources stand, so many of each: one query for all."""
    first, *others = (one.newest(asked, rank, most) for rank, one in wanted.items())
    found = [
        (_moment(next(day for day in days if day is not None)), rank, pk)
        for rank, pk, *days in first.union(*others, all=True)
    ]
    return [Place(at, rank, pk) for at, rank, pk in found if at is not None]


def _moment(told_on: Any) -> datetime.datetime | None:
    if isinstance(told_on, datetime.datetime):
        return told_on
    if isinstance(told_on, str):
        try:
            told_on = datetime.date.fromisoformat(told_on)
        except ValueError:
            return None  # the history keeps what was once written, whatever it was
    return midnight(told_on)


def _column(column: Column) -> Any:
    return F(column) if isinstance(column, str) else column


def _written(asked: Asked) -> Q:
    found = Q()
    if asked.written_since:
        found &= Q(told_at__gte=midnight(asked.written_since))
    if asked.written_until:
        found &= Q(told_at__lt=midnight(day_after(asked.written_until)))
    if asked.by:
        found &= Q(told_by=asked.by.pk)
    return found


def written_with(model: type[models.Model], name: str) -> dict[str, Any]:
    """When and by whom a field of a record was last written, as the history keeps it.

    For what is filled in later than the record: a separation, a return, a state.
    """
    entries = LogEntry.objects.filter(
        content_type__app_label=model._meta.app_label,
        content_type__model=model._meta.model_name,
        object_id=OuterRef("pk"),
        changes__has_key=name,
    ).order_by("-timestamp", "-pk")
    return {
        "written": Subquery(entries.values("timestamp")[:1]),
        "by": Subquery(entries.values("actor")[:1]),
    }


def of_kind(sources: Iterable[Source], kind: Kind | None) -> list[Source]:
    return [one for one in sources if kind is None or one.kind == kind]
