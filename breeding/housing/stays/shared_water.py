"""Who shared water with whom and when: interval arithmetic over stays."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from operator import attrgetter
from typing import NamedTuple, Protocol

from django.db.models import Q

from breeding.animals.away.gone import GONE
from breeding.housing.models import Stay

Date = datetime.date


class BareStay(NamedTuple):
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
    places: Iterable[BareStay], ones: Collection[int], others: Collection[int]
) -> list[Shared]:
    """Every stretch that one of `ones` shared water with one of `others`, by its first day.

    The day of a move belongs to both tanks, so both ends of a stretch count as days together.
    A hand-over on one day is no company: one that left a tank on the day on which the other came
    has not met it. Two sides of a closed divider are two waters; an animal on record in the
    whole tank shares with both sides. Stays that follow each other in one tank (a divider opened)
    give stretches that touch; merging is for whoever reads them.
    Cost: sorts the stays, then one comparison for each of the ones and each of the others that
    overlap in a tank.

    >>> day = Date(2026, 3, 1)
    >>> week = datetime.timedelta(days=7)
    >>> his, hers = BareStay(1, 9, "", day, day + week), BareStay(2, 9, "", day + week, None)
    >>> shared_stretches([his, hers], [2], [1])
    []
    >>> hers = BareStay(2, 9, "", day, None)
    >>> shared_stretches([his, hers], [2], [1])[0].last == day + week
    True
    """
    ones, others = set(ones), set(others)
    by_tank: dict[int, list[BareStay]] = defaultdict(list)
    for place in places:
        by_tank[place.tank].append(place)
    found: list[Shared] = []
    for stays in by_tank.values():
        ones_there: list[BareStay] = []
        others_there: list[BareStay] = []
        for place in sorted(stays, key=_BY_DAY):
            if place.animal in ones:
                others_there = _still_there(others_there, place)
                for other, last in _met(others_there, place):
                    found.append(Shared(place.animal, other, place.tank, place.since, last))
            if place.animal in others:
                ones_there = _still_there(ones_there, place)
                for one, last in _met(ones_there, place):
                    found.append(Shared(one, place.animal, place.tank, place.since, last))
                others_there.append(place)
            if place.animal in ones:
                ones_there.append(place)
    return sorted(found, key=_BY_FIRST_DAY)


_BY_DAY = attrgetter("since", "animal")
_BY_FIRST_DAY = attrgetter("first", "one", "other")


def _still_there(there: Sequence[BareStay], place: BareStay) -> list[BareStay]:
    since = place.since
    return [one for one in there if one.until is None or one.until > since]


def _met(there: Iterable[BareStay], place: BareStay) -> Iterator[tuple[int, Date | None]]:
    """Whom that has come before it meets, and up to when they overlap in time; a stay of one day
    inside another is a visit of a few hours.
    """
    side, until = place.side, place.until
    for earlier in there:
        if side and earlier.side and earlier.side != side:
            continue
        if until is None:
            yield earlier.animal, earlier.until
        elif until > earlier.since:
            last = until if earlier.until is None else min(earlier.until, until)
            yield earlier.animal, last


class InTank(Protocol):
    """A stay, or what is known of one."""

    @property
    def tank_id(self) -> int: ...

    @property
    def side(self) -> str: ...


def share_water(one: InTank, other: InTank) -> bool:
    """Whether two stays are in one water: the same tank, and no closed divider between them."""
    return one.tank_id == other.tank_id and not (one.side and other.side and one.side != other.side)


def place_of(stay: Stay) -> BareStay:
    """A stay as bare figures; one left open by an animal that is gone ends with it."""
    until = lasted(stay.since, stay.until, stay.animal.state, stay.animal.state_on)
    return BareStay(stay.animal_id, stay.tank_id, stay.side, stay.since, until)


def places_beside(animals: Collection[int], sex: str) -> list[BareStay]:
    """The stays of these animals, and those of every animal of a sex in tanks they were ever in.

    One query, whatever the number.
    """
    tanks = Stay.objects.filter(animal__in=animals).values("tank")
    beside = Stay.objects.filter(Q(animal__in=animals) | Q(animal__sex=sex), tank__in=tanks)
    rows = beside.order_by("since", "pk").values_list(
        "animal", "tank", "side", "since", "until", "animal__state", "animal__state_on"
    )
    return [
        BareStay(animal, tank, side, since, lasted(since, until, state, state_on))
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
