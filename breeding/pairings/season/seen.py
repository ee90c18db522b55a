"""What was seen of females: every sighting bare, and whole those of the seasons asked for."""

import datetime
import math
from collections import OrderedDict, defaultdict
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from django.db.models import Q
from django.utils import timezone

from breeding.animals import revisions
from breeding.animals.around import everybody_around
from breeding.animals.models import Animal
from breeding.pairings.models import Sighting, SignKind
from breeding.program.frame.memory import only_reads, remembered_while_reading
from breeding.program.unchanged.marks import rests_on

Date = datetime.date
GROUPS = 16
FEW = 20  # females: of no more the males that were seen with them are read with the sightings

_kinds: "OrderedDict[str, dict[str, SignKind]]" = OrderedDict()


class SeenSign(NamedTuple):
    """A sighting, bare: enough for seasons long closed; the male does not matter there.

    speaks: whether its kind says anything of a mating.
    """

    on: Date
    kind: str
    speaks: bool
    sighting: int


def kinds_by_key() -> dict[str, SignKind]:
    """Every kind of sign; no query while they stay as they are."""
    now = revisions.current().figures
    return revisions.kept(_kinds, now, lambda: {one.key: one for one in SignKind.objects.all()})


def seen_on(sighting: Sighting) -> Date:
    """The day it was seen, in the program's time zone; reckoned once for each that was read."""
    return _day_in(timezone.get_current_timezone(), sighting)


def days_seen(sightings: Iterable[Sighting]) -> list[Date]:
    """The same of each."""
    zone = timezone.get_current_timezone()
    return [_day_in(zone, one) for one in sightings]


def _day_in(zone: datetime.tzinfo, sighting: Sighting) -> Date:
    at = sighting.seen_at
    held: tuple[Any, datetime.datetime, Date] | None = sighting.__dict__.get("_seen_on")
    if held is None or held[0] is not zone or held[1] is not at:
        held = (zone, at, at.astimezone(zone).date())
        sighting.__dict__["_seen_on"] = held
    return held[2]


def all_signs() -> dict[int, list[SeenSign]]:
    """Whatever was seen, by female and in order: one query."""
    zone = timezone.get_current_timezone()
    found: dict[int, list[SeenSign]] = defaultdict(list)
    days: dict[Date, Date] = {}  # one of each: there are many more signs than days
    rests_on(SignKind)
    kinds = _ToldByKind((kind.pk, _told(kind)) for kind in kinds_by_key().values())
    rows = Sighting.objects.filter(withdrawn_at__isnull=True).order_by("seen_at", "pk")
    for pk, female, at, kind in rows.values_list("pk", "female", "seen_at", "kind"):
        on = at.astimezone(zone).date()
        found[female].append(SeenSign(days.setdefault(on, on), *kinds[kind], pk))
    return dict(found)


class _ToldByKind(dict[int, tuple[str, bool]]):
    """What a sign tells by its kind: its key, and whether it speaks of a mating."""

    def __missing__(self, kind: int) -> tuple[str, bool]:
        self[kind] = _told(SignKind.objects.get(pk=kind))
        return self[kind]


def _told(kind: SignKind) -> tuple[str, bool]:
    return kind.key, kind.after is not None


def sightings_since(starts: Mapping[int, Date]) -> dict[int, Sighting]:
    """Whole rows of these females from a day of each on, in their order: one query, of
    many females a second for males who are gone."""
    held: dict[int, tuple[Date, list[Sighting]]]
    held = remembered_while_reading("season_sightings", dict)
    missing = {
        female: start
        for female, start in starts.items()
        if female not in held or held[female][0] > start
    }
    if missing:
        read: dict[int, list[Sighting]] = {female: [] for female in missing}
        for row in _read_sightings(missing):
            read[row.female_id].append(row)
        held.update({female: (start, read[female]) for female, start in missing.items()})
    zone = timezone.get_current_timezone()
    return {
        row.pk: row
        for female, start in starts.items()
        for row in held[female][1]
        if _day_in(zone, row) >= start
    }


def _read_sightings(starts: Mapping[int, Date]) -> Iterable[Sighting]:
    """A few groups of females whose seasons began about the same time, so that little is read
    that was seen before."""
    ordered = sorted(starts, key=lambda female: starts[female])
    size = max(1, math.ceil(len(ordered) / GROUPS))
    wanted = Q()
    for first in range(0, len(ordered), size):
        group = ordered[first : first + size]
        since = starts[group[0]]
        part = Q(female__in=group)
        if since > Date.min + datetime.timedelta(days=1):
            part &= Q(seen_at__gte=_midnight(since))
        wanted |= part
    rows = Sighting.objects.filter(wanted, withdrawn_at__isnull=True).order_by("seen_at", "pk")
    if len(starts) <= FEW:
        return _with_kinds(rows.select_related("male"))
    return _with_males(_with_kinds(rows))


def _with_kinds(rows: Iterable[Sighting]) -> list[Sighting]:
    """One record for all that are of a kind."""
    kinds, every = {kind.pk: kind for kind in kinds_by_key().values()}, list(rows)
    for row in every:
        if row.kind_id in kinds:
            row._state.fields_cache["kind"] = kinds[row.kind_id]
    return every


def _with_males(rows: list[Sighting]) -> list[Sighting]:
    """And one for all that name a male: of many females he is not read with each of them."""
    keys = {row.male_id for row in rows if row.male_id is not None}
    males = named(keys) if keys else {}
    for row in rows:
        if row.male_id in males:
            row._state.fields_cache["male"] = males[row.male_id]
    return rows


def _midnight(on: Date) -> datetime.datetime:
    return timezone.make_aware(datetime.datetime.combine(on, datetime.time()))


def named(keys: set[int]) -> dict[int, Animal]:
    """These animals by their keys: no query where the page has everybody at hand."""
    around = everybody_around() if only_reads() else ()  # an act has them not at hand
    found = {one.pk: one for one in around if one.pk in keys}
    gone = keys - found.keys()
    return {**found, **(Animal.every.in_bulk(gone) if gone else {})}
