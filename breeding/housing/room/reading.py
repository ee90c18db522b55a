"""Whether tanks give those in them room, now and by the growth prediction; writes nothing."""

import datetime
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from breeding.animals.growth import ahead as as_read
from breeding.animals.growth.ahead import WidthAhead, is_born_on_a_day, most_on
from breeding.animals.models import Animal
from breeding.animals.species.profiles import Figures
from breeding.housing.models import Tank
from breeding.housing.space import Floor, Numbers, Rule, Wanted, first_day, wanted_by

Date = datetime.date
Company = Mapping[Tank, Sequence[Animal]]

HORIZON_DAYS = 3 * 365  # further ahead nobody plans


class Growth(Protocol):
    """What is known of widths, as `animals/growth/ahead.py` has it."""

    def latest_widths(self, keys: Collection[int]) -> Mapping[int, tuple[Date | None, int]]: ...

    def figures_of(self, keys: Collection[int]) -> Mapping[int, Figures]: ...

    def widths_ahead(self, animals: Iterable[Animal]) -> Mapping[int, WidthAhead]: ...


@dataclass(frozen=True)
class Counted:
    """One animal as far as its room is reckoned: its width now, in mm, and its rule."""

    animal: Animal
    width_mm: float
    rule: Rule
    ahead: WidthAhead | None = None  # None: nobody had to ask


@dataclass(frozen=True)
class Room:
    """A tank and those in it.

    counted: whose width is known, the widest first. unknown: whose is not. wanted: what those that
    are counted want now. early, middle, late: from which day it is too small for them if they grow
    fast, as expected, slowly; None: not before `until`. is_reckoned: whether growth was looked at.
    """

    tank: Tank
    asof: Date
    until: Date
    counted: tuple[Counted, ...]
    unknown: tuple[Animal, ...]
    wanted: Wanted | None = None
    is_too_small: bool = False
    early: Date | None = None
    middle: Date | None = None
    late: Date | None = None
    left_out: tuple[Animal, ...] = ()  # of whose kind no rule is known

    @property
    def floor(self) -> Floor | None:
        """None while a side of the tank is not measured: unknown is not small."""
        return floor_of(self.tank)

    @property
    def is_told(self) -> bool:
        """Whether anything can be said: a measured floor, and somebody with a rule and a width."""
        return self.floor is not None and bool(self.counted)

    @property
    def asks_for_a_floor(self) -> bool:
        return self.floor is None and bool(self.counted or self.unknown)


def floor_of(tank: Tank) -> Floor | None:
    """The floor of a tank; None while it is not measured."""
    if not tank.length_mm or not tank.width_mm:
        return None
    return Floor(tank.length_mm, tank.width_mm)


def rule_of(figures: Figures) -> Rule:
    """The rule of a profile; a figure that it lacks says nothing."""
    names = ("front_to_back_widths", "length_widths", "floor_first", "floor_further")
    return Rule(*(figures.get(f"space_{name}", 0.0) for name in names))


def rooms_of(
    company: Company,
    *,
    asof: Date,
    days: int = HORIZON_DAYS,
    is_thorough: bool = False,
    only_expected: bool = False,
    growth: Growth = as_read,
) -> dict[int, Room]:
    """The room of each of these tanks for those that are or would be in it, by the tank's key.

    days: how far ahead. Curves are fitted only for tanks that are large enough by what was
    measured and may become too small within these days; tanks that nobody measured are left alone,
    and animals of whom nothing can be reckoned. is_thorough: everything is reckoned and said.
    only_expected: no more is reckoned of one that is large enough as they are expected to grow. One
    query for all, two more where a curve is asked for.
    """
    everybody = {
        one.pk: one
        for tank, some in company.items()
        if is_thorough or floor_of(tank) is not None
        for one in some
    }
    widths = growth.latest_widths(everybody) if everybody else {}
    told = {key for key, one in everybody.items() if key in widths or is_born_on_a_day(one)}
    figures = growth.figures_of(everybody if is_thorough else told)
    begun = {
        tank: _begun(
            tank, [one for one in animals if one.pk in figures], widths, figures, asof, days
        )
        for tank, animals in company.items()
    }
    asked = [room for room in begun.values() if is_thorough or _may_grow_out(room, widths, figures)]
    keys = {one.pk for room in asked for one in (*_animals(room), *room.unknown)}
    ahead = growth.widths_ahead([everybody[key] for key in sorted(keys)])
    grown = {room.tank.pk: _grown(room, ahead, figures, only_expected) for room in asked}
    return {tank.pk: grown.get(tank.pk, room) for tank, room in begun.items()}


def room_of(tank: Tank, animals: Sequence[Animal], *, asof: Date) -> Room:
    """The room of one tank, with the growth of everybody in it."""
    return rooms_of({tank: animals}, asof=asof, is_thorough=True)[tank.pk]


def _begun(
    tank: Tank,
    animals: Sequence[Animal],
    widths: Mapping[int, tuple[Date | None, int]],
    figures: Mapping[int, Figures],
    asof: Date,
    days: int,
) -> Room:
    """As far as the latest measurements say it."""
    rules = {one.pk: rule_of(figures[one.pk]) for one in animals}
    with_rule = [one for one in animals if rules[one.pk].says_anything]
    counted = [
        Counted(one, float(widths[one.pk][1]), rules[one.pk])
        for one in with_rule
        if one.pk in widths
    ]
    unknown = [one for one in with_rule if one.pk not in widths]
    until = asof + datetime.timedelta(days=days)
    left_out = tuple(one for one in animals if one not in with_rule)
    return _judged(Room(tank, asof, until, tuple(counted), tuple(unknown), left_out=left_out))


def _judged(room: Room) -> Room:
    """With what they want now, the widest first."""
    counted = tuple(sorted(room.counted, key=lambda one: (-one.width_mm, one.animal.name)))
    if not counted:
        return room
    widths = np.array([[one.width_mm] for one in counted])
    wanted = wanted_by(widths, [one.rule for one in counted])
    floor = room.floor
    is_too_small = floor is not None and bool(floor.is_too_small(wanted)[0])
    first = room.asof if is_too_small else None
    return replace(
        room,
        counted=counted,
        wanted=wanted,
        is_too_small=is_too_small,
        early=first,
        middle=first,
        late=first,
    )


def _may_grow_out(
    room: Room, widths: Mapping[int, tuple[Date | None, int]], figures: Mapping[int, Figures]
) -> bool:
    """Whether growth has to be asked: it is large enough now, and may not be for ever."""
    floor = room.floor
    if floor is None or room.is_too_small or not (room.counted or room.unknown):
        return False
    everybody = [*_animals(room), *(one for one in room.unknown if is_born_on_a_day(one))]
    most = [most_on(one, widths.get(one.pk), room.until, figures[one.pk]) for one in everybody]
    if not most or any(one is None for one in most):
        return bool(most)
    rules = [rule_of(figures[one.pk]) for one in everybody]
    column = np.array([[one] for one in most], dtype=float)
    return bool(floor.is_too_small(wanted_by(column, rules))[0])


def _grown(
    room: Room,
    ahead: Mapping[int, WidthAhead],
    figures: Mapping[int, Figures],
    only_expected: bool,
) -> Room:
    """With the days from which it is too small, by the curves of those in it."""
    known = [ahead[one.pk] for one in (*_animals(room), *room.unknown) if ahead[one.pk].is_known]
    if not known:
        return room
    ends = [room.asof, room.until] if only_expected else [room.asof]
    expected = np.stack([one.on(ends).middle for one in known])
    rules = [rule_of(figures[one.animal.pk]) for one in known]
    counted = tuple(
        Counted(one.animal, float(width), rule, one)
        for one, width, rule in zip(known, expected[:, 0], rules, strict=True)
    )
    keys = {one.animal.pk for one in known}
    unknown = tuple(one for one in room.unknown if one.pk not in keys)
    judged = _judged(replace(room, counted=counted, unknown=unknown))
    if room.floor is None or judged.is_too_small:
        return judged
    if only_expected and not room.floor.is_too_small(wanted_by(expected, rules))[-1]:
        return judged
    length = (room.until - room.asof).days + 1
    days = [room.asof + datetime.timedelta(days=day) for day in range(length)]
    bands = [one.on(days) for one in known]
    late, middle, early = (
        _day(room.floor, np.stack([getattr(band, side) for band in bands]), rules, days)
        for side in ("low", "middle", "high")
    )
    return replace(judged, early=early, middle=middle, late=late)


def _day(floor: Floor, widths: Numbers, rules: Sequence[Rule], days: Sequence[Date]) -> Date | None:
    at = first_day(floor, widths, rules)
    return None if at is None else days[at]


def _animals(room: Room) -> list[Animal]:
    return [one.animal for one in room.counted]


def company_of(tanks: Collection[Tank]) -> Company:
    """Tanks out of `tanks_with_animals`, with those in them now: no query."""
    return {
        tank: [stay.animal for stay in tank.present_stays]  # type: ignore[attr-defined]
        for tank in tanks
    }
