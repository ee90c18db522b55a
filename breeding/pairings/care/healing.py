"""Whose marks have not been seen healed, and who has not been seen eating again; writes nothing.

A wound or refused food stays open until somebody looked again: marks until a look found none
(severity 0), food until it was taken. Nothing heals by the calendar alone but light marks.
"""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.db.models import Q

from breeding.animals.models import Animal
from breeding.pairings.care.severity import Degree, degree
from breeding.pairings.models import Outcome, Sighting
from breeding.pairings.season.facts import seen_on
from breeding.pairings.season.harm import EATS_AGAIN
from breeding.words.days import long_day

Date = datetime.date

LIGHT = 1  # a few shallow marks: part of courtship, nothing that forbids it
# How often to look again, by the latest degree; assumptions. Nobody said how bad: as if open.
LOOK_AGAIN_DAYS = {1: 7, 2: 2, 3: 1, 4: 1}
LOOK_AGAIN_UNSAID_DAYS = 1
LIGHT_HEALS_DAYS = 30  # light marks that nobody looked at again are let go; an assumption
BIRTH_FAST_DAYS = 3  # refused food so shortly before a birth belongs to the birth; an assumption


@dataclass(frozen=True)
class OpenWound:
    """Marks not seen healed: first seen, last looked at, how bad then (None: nobody said).

    worst: the highest degree of all looks since they were first seen; None while none was said.
    """

    sighting: Sighting  # the latest look
    since: Date
    looked_on: Date
    severity: int | None
    worst: int | None

    @property
    def is_more_than_light(self) -> bool:
        """Broken skin or worse, or nobody said how bad: she is not paired, nobody leaves."""
        return self.severity is None or self.severity > LIGHT

    @property
    def look_again_days(self) -> int:
        if self.severity is None:
            return LOOK_AGAIN_UNSAID_DAYS
        return LOOK_AGAIN_DAYS[self.severity]

    @property
    def look_again_on(self) -> Date:
        return self.looked_on + datetime.timedelta(days=self.look_again_days)

    @property
    def degree_words(self) -> str:
        """How bad it was at the last look: "severity 3, open"."""
        found: Degree | None = degree(self.severity)
        return f"severity {found}" if found else "nobody said how bad"

    @property
    def words(self) -> str:
        """A sentence's part after a name: "has marks (severity 3, open) seen on 3 March 2026"."""
        return f"has marks ({self.degree_words}), last looked at on {long_day(self.looked_on)}"


@dataclass(frozen=True)
class Fast:
    """Food refused, and not seen taken since."""

    sighting: Sighting  # the latest that says so
    since: Date
    seen_on: Date

    @property
    def words(self) -> str:
        return f"is off food, last seen so on {long_day(self.seen_on)}"


@dataclass(frozen=True)
class OpenHarm:
    """What is open of one animal; at least one of the two."""

    animal: Animal
    wound: OpenWound | None = None
    fast: Fast | None = None

    @property
    def forbids(self) -> tuple[str, ...]:
        """What speaks against breeding and against leaving, after a name."""
        wound = self.wound.words if self.wound and self.wound.is_more_than_light else ""
        return tuple(one for one in (wound, self.fast.words if self.fast else "") if one)


def open_harm(
    animals: Iterable[int] | None = None, *, asof: Date, here_only: bool = False
) -> dict[int, OpenHarm]:
    """By animal, of these keys or of all on record: two queries, however many they are."""
    tells = Q(kind__asks_severity=True) | Q(severity__isnull=False)
    tells |= Q(kind__is_off_food=True) | Q(kind__key=EATS_AGAIN)
    rows = Sighting.objects.filter(tells, withdrawn_at__isnull=True)
    births = Outcome.objects.filter(withdrawn_at__isnull=True, kind__in=Outcome.BIRTHS)
    if animals is not None:
        keys = list(animals)
        rows, births = rows.filter(female__in=keys), births.filter(female__in=keys)
    if here_only:
        rows = rows.filter(female__state=Animal.State.HERE)
    found: dict[int, OpenHarm] = {}
    for row in rows.select_related("female", "female__portrait", "kind").order_by("seen_at", "pk"):
        if seen_on(row) <= asof:
            before = found.get(row.female_id, OpenHarm(row.female))
            found[row.female_id] = _after(before, row)
    born = [(pk, on) for pk, on in births.values_list("female", "on") if on <= asof]
    for pk, on in born:
        if pk in found and _is_of_birth(found[pk].fast, on):
            found[pk] = replace(found[pk], fast=None)
    let_go = {pk: _without_old_light(one, asof) for pk, one in found.items()}
    return {pk: one for pk, one in let_go.items() if one.wound or one.fast}


def harm_open_of(animal: Animal, *, asof: Date) -> OpenHarm | None:
    """What is open of one animal: two queries."""
    return open_harm([animal.pk], asof=asof).get(animal.pk)


def _after(before: OpenHarm, row: Sighting) -> OpenHarm:
    """What is open after one more look."""
    on = seen_on(row)
    wound, fast = before.wound, before.fast
    if row.kind.asks_severity or row.severity is not None:
        wound = _wound_after(wound, row, on)
    if row.kind.is_off_food:
        fast = Fast(row, fast.since if fast else on, on)
    elif row.kind.key == EATS_AGAIN:
        fast = None
    return OpenHarm(row.female, wound, fast)


def _wound_after(wound: OpenWound | None, row: Sighting, on: Date) -> OpenWound | None:
    if row.severity == 0:
        return None
    said = [one for one in (wound.worst if wound else None, row.severity) if one is not None]
    return OpenWound(row, wound.since if wound else on, on, row.severity, max(said, default=None))


def _is_of_birth(fast: Fast | None, born_on: Date) -> bool:
    return fast is not None and 0 <= (born_on - fast.seen_on).days <= BIRTH_FAST_DAYS


def _without_old_light(one: OpenHarm, asof: Date) -> OpenHarm:
    wound = one.wound
    if wound is None or wound.is_more_than_light:
        return one
    is_old = (asof - wound.looked_on).days > LIGHT_HEALS_DAYS
    return replace(one, wound=None) if is_old else one
