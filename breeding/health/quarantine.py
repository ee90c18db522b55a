"""Which animals are in quarantine on a day, since when, why their days began again, until when.

Nothing of it is stored that follows: a stay in a tank for quarantine is one, from its first day;
rows of `Quarantine` say what was said by word, that one began elsewhere, and how one ended.
"""

import datetime
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from django.db.models import Q

from breeding.animals.away.gone import is_gone_by
from breeding.animals.models import Animal
from breeding.health.apart.clock import Apart, Event, Spell, added, apart, in_one_tank
from breeding.health.apart.records import OnRecord, Records
from breeding.health.hold import Hold
from breeding.health.models import Observation, Quarantine, Treatment
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.lately import rows_of_late
from breeding.housing.stays.shared_water import place_of
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.problems.doubts import threshold
from breeding.program.problems.several import named_in
from breeding.program.unchanged.growing import kept_while_growing
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many

Date = datetime.date


@dataclass(frozen=True)
class Quarantined:
    """One animal in quarantine on a day.

    since: the first day of it. clock_from: the day from which its days are reckoned, and because
    of what ("Mira was added"; empty: it is the first day). came_on: since when it is in that tank.
    left_on: when it was taken out of the tank for quarantine before its days were over. row: what
    was said by word and is not ended.
    """

    animal: Animal
    since: Date
    clock_from: Date
    because: str
    days: int
    tank: Tank | None
    came_on: Date
    left_on: Date | None
    row: Quarantine | None

    @property
    def until(self) -> Date:
        """The first day on which its days are over."""
        return self.clock_from + datetime.timedelta(days=self.days)

    @property
    def tank_id(self) -> int | None:
        return self.tank.pk if self.tank else None

    @property
    def days_words(self) -> str:
        """ "30 days from 3 March 2026, when Mira was added"."""
        day = long_day(self.clock_from)
        if not self.because:
            return tell_many(
                "{number} day from {day}", "{number} days from {day}", self.days, day=day
            )
        return tell_many(
            "{number} day from {day}, when {because}",
            "{number} days from {day}, when {because}",
            self.days,
            day=day,
            because=self.because,
        )

    def is_done_on(self, on: Date) -> bool:
        """Whether its days are over, so that it can be ended."""
        return on >= self.until


class MayBe(NamedTuple):
    """Who may be in quarantine, and all that was said of them by word."""

    animals: Mapping[int, Animal]
    said: Collection[Quarantine]


def quarantined(keys: Iterable[int], on: Date) -> dict[int, Quarantined]:
    """Those of these who are in quarantine on a day, by key.

    One that was taken out of the tank for quarantine is so until its days are over; one that is
    kept in it until somebody ends it.
    """
    may_be = _who_may_be(on)
    wanted = set(keys) & may_be.animals.keys()
    if not wanted:
        return {}
    return {key: one for key, one in _of_all(may_be, on).items() if key in wanted}


def may_be_apart(keys: Iterable[int]) -> set[int]:
    """Those of these who may be in quarantine on whatever day: by word, or by a tank."""
    every = list(keys)
    in_tank = Stay.objects.filter(tank__kind=Tank.Kind.QUARANTINE)
    return named_in(Quarantine.objects.all(), "animal", every) | named_in(in_tank, "animal", every)


def all_quarantined(on: Date) -> dict[int, Quarantined]:
    """Everybody who is in quarantine on a day: six queries, or two; once a page."""
    may_be = _who_may_be(on)
    return _of_all(may_be, on) if may_be.animals else {}


def _of_all(may_be: MayBe, on: Date) -> dict[int, Quarantined]:
    return remembered_while_reading(f"quarantine:{on}", lambda: read_of_each(may_be, on))


def _who_may_be(on: Date) -> MayBe:
    """Kept until a stay, a tank, an animal or a word of quarantine is written."""
    key = ("may be in quarantine", on)
    return remembered_while_reading(
        f"may be in quarantine:{on}",
        lambda: kept_while_growing(key, lambda: _may_be_in_quarantine(on), {}),
    )


def quarantine_holds(keys: Collection[int], on: Date) -> dict[int, tuple[Hold, ...]]:
    """What holds those in quarantine: not to be sold, not to be bred.

    Whom it meets when it is moved is asked where it is moved (pairings/company).
    """
    return {key: (hold_of_quarantine(one, on),) for key, one in quarantined(keys, on).items()}


def hold_of_quarantine(one: Quarantined, on: Date) -> Hold:
    """How it holds an animal."""
    if one.is_done_on(on):
        why = tell(
            "is in quarantine; its days were over on {day}, end it first",
            day=long_day(one.until),
        )
        return Hold(one.animal.pk, why, None, frozenset(["sell", "breed"]))
    why = tell("is in quarantine, {days}", days=one.days_words)
    return Hold(one.animal.pk, why, one.until, frozenset(["sell", "breed"]))


# ------------------------------------------------------------------------------------- what is read


def _may_be_in_quarantine(on: Date) -> MayBe:
    """By word, or in a tank for quarantine as many days before as its days last; not the gone."""
    by_word = Quarantine.objects.filter(ended_on__isnull=True, since__lte=on)
    tanks = list(Tank.objects.filter(kind=Tank.Kind.QUARANTINE).values_list("pk", flat=True))
    by_tank = []
    if tanks:
        stays = rows_of_late(on).filter(since__lte=on, tank__in=tanks)
        by_tank = [
            one.animal for one in stays.select_related("animal__portrait").order_by("since", "pk")
        ]
    elif not by_word.exists():
        return MayBe({}, ())
    rows = Quarantine.objects.filter(
        Q(animal__in=[one.pk for one in by_tank]) | Q(animal__in=by_word.values("animal"))
    )
    said = list(rows.select_related("animal").order_by("pk"))
    return may_be_of((*by_tank, *(row.animal for row in said)), said, on)


def may_be_of(animals: Iterable[Animal], said: Collection[Quarantine], on: Date) -> MayBe:
    """Those of these animals that were not gone on that day, by their codes."""
    found = {one for one in animals if not (one.is_withdrawn or is_gone_by(one, on))}
    return MayBe({one.pk: one for one in sorted(found, key=lambda one: one.code)}, said)


def read_of_each(may_be: MayBe, on: Date, records: Records | None = None) -> dict[int, Quarantined]:
    """Those of these who are in quarantine on a day, by key; records: None for those on record."""
    animals, records = may_be.animals, records or OnRecord()
    open_rows, ends = _said(may_be, on)
    stays = list(records.stays_of(animals, on))
    own: dict[int, list[Spell]] = {key: [] for key in animals}
    for stay in stays:
        own[stay.animal_id].append(_spell(stay))
    own = {key: in_one_tank(spells) for key, spells in own.items()}
    tanks = {stay.tank_id: stay.tank for stay in stays}
    water = _Water.of(own, open_rows, tanks, on, records)
    found = {}
    for key, animal in animals.items():
        row = open_rows.get(key)
        one = apart(
            own[key],
            water.events,
            water.spells,
            by_word=row.since if row else None,
            ended_on=ends.get(key),
            on=on,
            names=water.names,
        )
        if one is not None:
            read = _quarantined(animal, one, row, tanks)
            if read.left_on is None or on < read.until:
                found[key] = read
    return found


def _quarantined(
    animal: Animal, one: Apart, row: Quarantine | None, tanks: Mapping[int, Tank]
) -> Quarantined:
    days = row.least_days if row and row.least_days else round(threshold("quarantine_days"))
    return Quarantined(
        animal=animal,
        since=one.since,
        clock_from=one.start.on,
        because=one.start.words,
        days=days,
        tank=tanks[one.spell.tank] if one.spell else None,
        came_on=max(one.spell.since, one.since) if one.spell else one.since,
        left_on=one.left_on,
        row=row,
    )


def _said(may_be: MayBe, on: Date) -> tuple[dict[int, Quarantine], dict[int, Date]]:
    """What was said by word: the open rows, and when the last quarantine of each was ended."""
    open_rows: dict[int, Quarantine] = {}
    ends: dict[int, Date] = {}
    for row in may_be.said:
        if row.ended_on is None:
            if row.since is not None and row.since <= on:
                open_rows[row.animal_id] = row
        elif row.ended_on <= on:
            ends[row.animal_id] = max(row.ended_on, ends.get(row.animal_id, Date.min))
    return open_rows, ends


def _spell(stay: Stay) -> Spell:
    place = place_of(stay)
    return Spell(
        stay.animal_id,
        water_of(stay.tank),
        stay.tank_id,
        place.since,
        place.until,
        stay.tank.kind == Tank.Kind.QUARANTINE,
    )


def water_of(tank: Tank) -> str:
    """The same for all tanks that share their water."""
    return water_by(tank.pk, tank.system_id)


def water_by(tank: int, system: int | None) -> str:
    """The same by the keys of a tank and of the system it belongs to."""
    return f"system {system}" if system else f"tank {tank}"


@dataclass(frozen=True)
class _Water:
    """All who were in the waters of those in quarantine since it began, and what happened there."""

    spells: list[Spell]
    events: list[Event]
    names: dict[int, str]

    @classmethod
    def of(
        cls,
        own: Mapping[int, list[Spell]],
        by_word: Mapping[int, Quarantine],
        tanks: Mapping[int, Tank],
        on: Date,
        records: Records,
    ) -> "_Water":
        """Three of what is read."""
        first = _first_day(own, by_word, on)
        asked = [
            spell
            for key, spells in own.items()
            for spell in spells
            if (spell.is_apart or key in by_word) and (spell.until is None or spell.until >= first)
        ]
        places = {spell.tank for spell in asked}
        systems = {system for key in places if (system := tanks[key].system_id) is not None}
        stays = list(records.stays_in(places, systems, first, on))
        names = {stay.animal_id: stay.animal.name for stay in stays}
        spells = [_spell(stay) for stay in stays]
        events = [
            *added(spells, names),
            *_deaths(stays, on),
            *_illnesses(spells, names, records.illnesses(names, first, on)),
            *_treatments(spells, names, records.treatments(names, places, systems, first, on)),
        ]
        return cls(spells, events, names)


def _first_day(own: Mapping[int, list[Spell]], by_word: Mapping[int, Quarantine], on: Date) -> Date:
    """The first day of any quarantine that can still count, and one before: who was there then."""
    recent = on - datetime.timedelta(days=round(threshold("quarantine_days")))
    days = [
        spell.since
        for spells in own.values()
        for spell in spells
        if spell.is_apart and (spell.until is None or spell.until > recent)
    ]
    days += [row.since for row in by_word.values() if row.since]
    return min(days, default=on) - datetime.timedelta(days=1)


def _deaths(stays: Iterable[Stay], on: Date) -> Iterable[Event]:
    for stay in stays:
        animal = stay.animal
        died_on = animal.state_on
        if animal.state != Animal.State.DIED or died_on is None or died_on > on:
            continue
        if stay.since <= died_on and (stay.until is None or died_on <= stay.until):
            yield Event(died_on, water_of(stay.tank), tell("{animal} died", animal=animal.name))


def _illnesses(
    spells: Iterable[Spell], names: Mapping[int, str], rows: Iterable[Observation]
) -> Iterable[Event]:
    where = _by_animal(spells)
    for row in rows:
        for water in _waters(where, row.animal_id, row.since):
            words = tell(
                "{animal} fell ill ({what})",
                animal=names[row.animal_id],
                what=row.get_kind_display(),
            )
            yield Event(row.since, water, words)


def _treatments(
    spells: Iterable[Spell], names: Mapping[int, str], rows: Iterable[Treatment]
) -> Iterable[Event]:
    where = _by_animal(spells)
    for row in rows:
        if row.tank is not None:
            words = tell(
                "the water of {tank} was treated against {what}", tank=row.tank, what=row.against
            )
            yield Event(row.since, water_of(row.tank), words)
        elif row.animal_id is not None:
            for water in _waters(where, row.animal_id, row.since):
                words = tell(
                    "{animal} was treated against {what}",
                    animal=names[row.animal_id],
                    what=row.against,
                )
                yield Event(row.since, water, words)


def _by_animal(spells: Iterable[Spell]) -> dict[int, list[Spell]]:
    found: dict[int, list[Spell]] = {}
    for one in spells:
        found.setdefault(one.animal, []).append(one)
    return found


def _waters(where: Mapping[int, list[Spell]], animal: int, on: Date) -> set[str]:
    """In which water it was on a day; the day of a move belongs to both."""
    return {
        one.water
        for one in where.get(animal, ())
        if one.since <= on and (one.until is None or on <= one.until)
    }
