"""Whom animals meet through stays that were just written, over all the days of these."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from django.db.models import QuerySet

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.following import Meeting
from breeding.housing.stays.shared_water import BareStay, place_of, shared_stretches

BY_NAME = ("animal__call_name", "animal__code", "since")


def meetings_of(stays: Sequence[Stay], *, instead_of: Iterable[Stay] = ()) -> list[Meeting]:
    """Whom those meet who came with these stays into one tank, by the day on which it begins.

    Not each other, and nobody whom one was with the day before in the same tank, or through the
    stays that these were written `instead_of`. Two queries.
    """
    if not stays:
        return []
    coming = {stay.animal_id: stay.animal for stay in stays}
    instead_of, left = list(instead_of), _left_for(stays)
    beside = [
        stay
        for stay in _there_meanwhile([*stays, *left, *instead_of], stays[0].tank)
        if stay.animal_id not in coming
    ]
    others = {stay.animal_id: stay.animal for stay in beside}
    met = pairs_that_meet(
        [place_of(stay) for stay in stays],
        [place_of(stay) for stay in beside],
        left=[place_of(stay) for stay in left],
        instead_of=[place_of(stay) for stay in instead_of],
    )
    return [meeting_of_pairs(pairs, coming, others, stays[0].tank, on) for on, pairs in met]


def pairs_that_meet(
    coming: Sequence[BareStay],
    beside: Sequence[BareStay],
    *,
    left: Sequence[BareStay] = (),
    instead_of: Sequence[BareStay] = (),
) -> list[tuple[datetime.date, list[tuple[int, int]]]]:
    """Who comes to whom by these stays in one tank, the pairs of each day, by the day.

    left: the stays in the same tank that ended as these begin.
    """
    before, known = _met(left, beside), _met(instead_of, beside)
    by_day: dict[datetime.date, list[tuple[int, int]]] = defaultdict(list)
    for pair, days in _met(coming, beside).items():
        first, _ = days[0]
        went_on = any(last is None or last >= first for _, last in before.get(pair, ()))
        if not went_on and pair not in known:
            by_day[first].append(pair)
    return sorted(by_day.items())


def _there_meanwhile(stays: Iterable[Stay], tank: Tank) -> QuerySet[Stay]:
    """The stays in a tank that reach into the days from the first of these to the last."""
    stays = list(stays)
    ends = [stay.until for stay in stays if stay.until is not None]
    there = Stay.objects.filter(tank=tank).exclude(until__lt=min(one.since for one in stays))
    if len(ends) == len(stays):
        there = there.filter(since__lte=max(ends))
    return there.select_related("animal").order_by(*BY_NAME)


def _met(
    own: Sequence[BareStay], places: Sequence[BareStay]
) -> dict[tuple[int, int], list[tuple[datetime.date, datetime.date | None]]]:
    """First and last days together of each of these with each of those beside them."""
    found = defaultdict(list)
    ones, others = {one.animal for one in own}, {one.animal for one in places}
    for shared in shared_stretches([*own, *places], ones, others - ones):
        found[shared.one, shared.other].append((shared.first, shared.last))
    return found


def _left_for(stays: Sequence[Stay]) -> list[Stay]:
    """The stays in the same tank that ended as these began: another side of its divider."""
    since = {stay.animal_id: stay.since for stay in stays}
    ended = Stay.objects.filter(
        animal__in=list(since), tank=stays[0].tank_id, until__in=list(since.values())
    ).exclude(pk__in=[stay.pk for stay in stays])
    return [stay for stay in ended.select_related("animal") if stay.until == since[stay.animal_id]]


def meeting_of_pairs(
    pairs: Sequence[tuple[int, int]],
    coming: Mapping[int, Animal],
    others: Mapping[int, Animal],
    tank: Tank,
    on: datetime.date,
) -> Meeting:
    """The meeting of these pairs; coming, others: who they are, in the order they are named."""
    ones, met = {one for one, _ in pairs}, {other for _, other in pairs}
    here = tuple(animal for pk, animal in coming.items() if pk in ones)
    there = tuple(animal for pk, animal in others.items() if pk in met)
    return Meeting(here, there, tank, on)
