"""Who shared water with whom and when: interval arithmetic over stays."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable
from typing import NamedTuple, Protocol

from django.db.models import Q

from breeding.housing.models import GONE, Stay

Date = datetime.date


class Place(NamedTuple):
    """One stay as bare figures: `side` is "" for the whole tank, `until` None while it goes on."""

    animal: int
    tank: int
    side: str
    since: Date
    until: Date | None


class Shared(NamedTuple):
    """Days two animals spent in one water, both ends counted; `last` None while it goes on."""

    one: int
    other: int
    tank: int
    first: Date
    last: Date | None


def shared_stretches(
    places: Iterable[Place], ones: Collection[int], others: Collection[int]
) -> list[Shared]:
    """Every stretch that one of `ones` shared water with one of `others`, by its first day.

    The day of a move belongs to both tanks, so both ends of a stretch count as days together.
    A hand-over on one day is no company: one that left a tank on the day on which the other came
    has not met it. Two sides of a closed divider are two waters; an animal on record in the
    whole tank shares with both sides. Stays that follow each other in one tank (a divider opened)
    give stretches that touch; merging is for whoever reads them.
    Cost: sorts the stays, then one comparison for each two that overlap in a tank.

    >>> day = Date(2026, 3, 1)
    >>> week = datetime.timedelta(days=7)
    >>> his, hers = Place(1, 9, "", day, day + week), Place(2, 9, "", day + week, None)
    >>> shared_stretches([his, hers], [2], [1])
    []
    >>> hers = Place(2, 9, "", day, None)
    >>> shared_stretches([his, hers], [2], [1])[0].last == day + week
    True
    """
    ones, others = set(ones), set(others)
    by_tank: dict[int, list[Place]] = defaultdict(list)
    for place in places:
        by_tank[place.tank].append(place)
    found = []
    for stays in by_tank.values():
        there: list[Place] = []
        for place in sorted(stays, key=lambda one: (one.since, one.animal)):
            there = [one for one in there if one.until is None or one.until > place.since]
            for earlier in there:
                found += _meeting(earlier, place, ones, others)
            there.append(place)
    return sorted(found, key=lambda one: (one.first, one.one, one.other))


def _meeting(
    earlier: Place, later: Place, ones: Collection[int], others: Collection[int]
) -> list[Shared]:
    """The two overlap in time; a stay of one day inside another is a visit of a few hours."""
    if earlier.side and later.side and earlier.side != later.side:
        return []
    if later.until is not None and later.until <= earlier.since:
        return []
    ends = [until for until in (earlier.until, later.until) if until is not None]
    last = min(ends, default=None)
    pairs = ((earlier.animal, later.animal), (later.animal, earlier.animal))
    return [
        Shared(one, other, later.tank, later.since, last)
        for one, other in pairs
        if one in ones and other in others
    ]


class InTank(Protocol):
    """A stay, or what is known of one."""

    @property
    def tank_id(self) -> int: ...

    @property
    def side(self) -> str: ...


def share_water(one: InTank, other: InTank) -> bool:
    """Whether two stays are in one water: the same tank, and no closed divider between them."""
    return one.tank_id == other.tank_id and not (one.side and other.side and one.side != other.side)


def place_of(stay: Stay) -> Place:
    """A stay as bare figures; one left open by an animal that is gone ends with it."""
    until = lasted(stay.since, stay.until, stay.animal.state, stay.animal.state_on)
    return Place(stay.animal_id, stay.tank_id, stay.side, stay.since, until)


def places_beside(animals: Collection[int], sex: str) -> list[Place]:
    """The stays of these animals, and those of every animal of a sex in tanks they were ever in.

    One query, whatever the number.
    """
    tanks = Stay.objects.filter(animal__in=animals).values("tank")
    beside = Stay.objects.filter(Q(animal__in=animals) | Q(animal__sex=sex), tank__in=tanks)
    rows = beside.order_by("since", "pk").values_list(
        "animal", "tank", "side", "since", "until", "animal__state", "animal__state_on"
    )
    return [
        Place(animal, tank, side, since, lasted(since, until, state, state_on))
        for animal, tank, side, since, until, state, state_on in rows
    ]


def lasted(since: Date, until: Date | None, state: str, state_on: Date | None) -> Date | None:
    """Until when a stay lasted; None while it goes on.

    One left open by an animal that died or left ends on that day; when nobody wrote down the day,
    on the day it began: what is not known is not counted.
    """
    if until is None and state in GONE:
        return max(since, state_on or since)
    return until
