"""A page of a chronicle: a few newest entries of every source, in one order, under their months."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db import models
from django.db.models import IntegerField, QuerySet, Subquery
from django.utils import timezone

from breeding.program.acts.history import names_in
from breeding.program.acts.mending import put_right_address_of
from breeding.program.models import Person, Program
from breeding.program.unchanged.marks import without_rows
from breeding.records.apps import RecordsConfig
from breeding.records.chronicle.asked import Asked, Place
from breeding.records.chronicle.corrected import changes_by_record, entries_of
from breeding.records.chronicle.entry import Change, Entry, Telling, Told, withdrawn_words
from breeding.records.chronicle.kept import kept_apart, newest_places
from breeding.records.chronicle.kinds import TABLE, Kind
from breeding.records.chronicle.source import Source
from breeding.records.chronicle.sources import SOURCES
from breeding.words.language import tell

PER_PAGE = 50
Record = tuple[type[models.Model], int]


@dataclass(frozen=True)
class Month:
    """The entries of a month; `words` is empty where not even the month is known."""

    words: str
    entries: Sequence[Entry]


@dataclass(frozen=True)
class Year:
    number: int
    months: Sequence[Month]


@dataclass(frozen=True)
class Chronicle:
    """What a page shows. `counts`: how many there are of each kind, whatever kind is asked for.

    told_years: from this year back to the first of which anything is told, where they are asked.
    """

    entries: Sequence[Entry]
    counts: Mapping[Kind, int]
    number: int
    earlier: str = ""
    told_years: Sequence[int] = ()

    @property
    def years(self) -> list[Year]:
        """In their order, newest first; what is known to the year alone ends its year."""
        found = []
        for number, of_year in groupby(self.entries, key=lambda one: one.year):
            ordered = sorted(of_year, key=lambda one: not one.month_words)
            months = groupby(ordered, key=lambda one: one.month_words)
            found.append(Year(number, [Month(words, list(some)) for words, some in months]))
        return found


class HowMany(Subquery):
    """The number of rows of a query, as one column of another."""

    template = "(SELECT COUNT(*) FROM (%(subquery)s) AS counted)"
    output_field = IntegerField()
    empty_result_set_value = 0


def chronicle_of(
    asked: Asked,
    *,
    program: Program,
    most: int = PER_PAGE,
    years_of: Asked | None = None,
) -> Chronicle:
    """The newest of what is asked, `most` of them, with the way to those before.

    years_of: of what the years are wanted.

    As many queries whatever the number of records: those that count and those that find the
    newest (of what was written to since, once anything is kept), at most one for each source of
    which any is shown, and those for what was corrected.
    """
    ContentType.objects.get_for_models(*RecordsConfig.kept_models())  # all by one query, once
    every = _with_rows()
    served = {rank: one for rank, one in every.items() if one.serves(asked)}
    wide = years_of.of_every_day() if years_of else None
    counted = kept_apart(
        "chronicle counts",
        (replace(asked, before=None, kind=None).key, wide.key if wide else None),
        every if wide else served,
        lambda some: [_numbers(some, asked, wide)],
    )
    numbers = {rank: number for found, _ in counted for rank, number in found.items()}
    first_days = [day for _, days in counted for day in days]
    counts: dict[Kind, int] = defaultdict(int)
    for rank, number in numbers.items():
        counts[served[rank].kind] += number
    wanted = {
        rank: one
        for rank, one in served.items()
        if numbers[rank] and asked.kind in (None, one.kind)
    }
    newest = sorted(newest_places(wanted, asked, most + 1), reverse=True)[: most + 1]
    shown = newest[:most]
    return Chronicle(
        entries=_entries(shown, asked, program),
        counts={kind: counts[kind] for kind in TABLE if counts.get(kind)},
        number=sum(numbers[rank] for rank in wanted),
        earlier=str(shown[-1]) if len(newest) > most else "",
        told_years=_years(first_days, asked.today),
    )


def _with_rows() -> dict[int, Source]:
    """Every source that has anything to tell, by its rank: of the others nothing is asked."""
    nothing = without_rows({one.model for one in SOURCES})
    return {rank: one for rank, one in enumerate(SOURCES) if one.model not in nothing}


def _years(first_days: Iterable[Any], today: datetime.date) -> list[int]:
    years = [year for day in first_days if (year := _year(day))]
    return list(range(max(today.year, *years), min(years) - 1, -1)) if years else []


def _year(day: Any) -> int | None:
    if isinstance(day, datetime.datetime):
        return timezone.localtime(day).year
    if isinstance(day, datetime.date):
        return day.year
    return int(day[:4]) if day and day[:4].isdecimal() else None


def _numbers(
    sources: Mapping[int, Source], asked: Asked, wide: Asked | None
) -> tuple[dict[int, int], list[Any]]:
    """How many records of each of these sources are asked for, and the first day that each tells
    of what `wide` asks, in one query.
    """
    asked = replace(asked, before=None)
    served = {rank: one for rank, one in sources.items() if one.serves(asked)}
    columns: dict[str, Any] = {
        f"n{rank}": HowMany(_keys(one, asked)) for rank, one in served.items()
    }
    first = (
        {}
        if wide is None
        else {
            f"d{rank}": _first_day(one, wide) for rank, one in sources.items() if one.serves(wide)
        }
    )
    found = _one_row(columns | first)
    return {rank: found[f"n{rank}"] for rank in served}, [found[key] for key in first]


def _first_day(source: Source, asked: Asked) -> Subquery:
    return Subquery(source.rows(asked).order_by("told_on").values("told_on")[:1])


def _keys(source: Source, asked: Asked) -> QuerySet[Any]:
    return source.rows(asked).values("pk")


def _one_row(columns: Mapping[str, Any]) -> dict[str, Any]:
    """Several answers in one query; any table with one row at hand will do."""
    if not columns:
        return {}
    kind = ContentType.objects.get_for_model(Program)
    row = ContentType.objects.filter(pk=kind.pk).values(
        **{f"from_{key}": column for key, column in columns.items()}
    )
    found: Any = row.get()
    return {key: found[f"from_{key}"] for key in columns}


def _entries(places: Sequence[Place], asked: Asked, program: Program) -> list[Entry]:
    """The records at these places, told."""
    wanted: dict[int, list[int]] = defaultdict(list)
    for place in places:
        wanted[place.rank].append(place.pk)
    loaded = _loaded(wanted)
    people = _people(loaded.values())
    telling, changes = _telling(loaded, asked, program)
    found = []
    for place in places:
        source, record = SOURCES[place.rank], loaded[place.rank].get(place.pk)
        if record is None:  # it went meanwhile
            continue
        told = source.tell(record, telling)
        local = timezone.localtime(place.at)
        found.append(
            Entry(
                kind=source.kind,
                on=local.date(),
                time=local.time() if source.is_moment else None,
                told=told,
                by=people.get(record.told_by),
                written_at=record.told_at,
                gone_words=told.slip_words or _gone_words(source, record, asked),
                changes=changes.get((source.model, place.pk), ()),
                put_right=put_right_address_of(record),
            )
        )
    return found


def _loaded(wanted: Mapping[int, Sequence[int]]) -> dict[int, dict[int, Any]]:
    """By source. What several of them read alike, as the history's entries, is one query."""
    alike: dict[Any, list[int]] = defaultdict(list)
    for rank in wanted:
        alike[SOURCES[rank].read_as].append(rank)
    found: dict[int, dict[int, Any]] = {}
    for ranks in alike.values():
        rows = SOURCES[ranks[0]].load({pk for rank in ranks for pk in wanted[rank]})
        for rank in ranks:
            found[rank] = {pk: rows[pk] for pk in wanted[rank] if pk in rows}
    return {rank: found[rank] for rank in wanted}


def _gone_words(source: Source, record: Any, asked: Asked) -> str:
    """The reason may name a buyer."""
    words = withdrawn_words(record)
    return tell("withdrawn") if words and source.is_of_buyers and not asked.reads_buyers else words


def _people(loaded: Iterable[Mapping[int, Any]]) -> dict[int | None, Person]:
    keys = {one.told_by for records in loaded for one in records.values()} - {None}
    # All of them, as the form's list of people asks: few work in one program.
    everybody = Person.objects.order_by("first_name", "username") if keys else ()
    return {one.pk: one for one in everybody}


def _telling(
    loaded: Mapping[int, Mapping[int, Any]], asked: Asked, program: Program
) -> tuple[Telling, dict[Record, list[Change]]]:
    """What the words need beside the records themselves: names, and what was corrected in them."""
    of_history = [
        one for some in loaded.values() for one in some.values() if isinstance(one, LogEntry)
    ]
    shown: dict[type[models.Model], list[int]] = defaultdict(list)
    for rank, records in loaded.items():
        if SOURCES[rank].model is not LogEntry:
            shown[SOURCES[rank].model] += records
    corrected = entries_of(shown, may_write=asked.may_write)
    names = names_in([*of_history, *corrected])
    telling = Telling(
        program=program,
        today=asked.today,
        me=frozenset(one.pk for one in asked.animals or ()),
        may_write=asked.may_write,
        reads_buyers=asked.reads_buyers,
        names=names,
    )
    changes = changes_by_record(corrected, names, program)
    return replace(telling, records=_told_of(of_history, telling)), changes


def _told_of(entries: Iterable[LogEntry], telling: Telling) -> dict[Record, Told]:
    """What the records say that entries of the history are about: one query for each kind."""
    wanted: dict[type[models.Model], set[int]] = defaultdict(set)
    for entry in entries:
        model = entry.content_type.model_class()
        if model is not None and entry.object_id is not None:
            wanted[model].add(entry.object_id)
    first = {source.model: source for source in reversed(SOURCES)}
    return {
        (model, pk): _with_its_day(first[model], record, telling)
        for model, pks in wanted.items()
        if model in first and model is not LogEntry
        for pk, record in first[model].load(pks).items()
    }


def _with_its_day(source: Source, record: Any, telling: Telling) -> Told:
    """What it says and of when, for an entry that stands on another day than its record."""
    told, on = source.tell(record, telling), source.day_of(record)
    if on is None or told.day_words:
        return told
    return told.with_its_day(on)
