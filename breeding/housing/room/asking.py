"""What is asked before somebody is put where there is no room for them, or soon will be none."""

import datetime
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace

from django.utils import timezone

from breeding.animals.growth import ahead as as_read
from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import Place, present_stays
from breeding.housing.room.reading import Growth, Room, floor_of, rooms_of
from breeding.housing.room.said import lacking, until_words
from breeding.program.problems.doubts import Doubt
from breeding.program.queries import the_program
from breeding.words.language import tell
from breeding.words.numbers import joined

Date = datetime.date

OLD_NEWS_DAYS = 7
ASKED_DAYS = 90  # one who is put there is to have room for so long; assumption


def doubts_of_room(stays: Sequence[Stay]) -> list[Doubt]:
    """What speaks against those who were just written into one tank, and are in it now.

    Nothing for old news, for a tank whose floor is not measured, and for those who were in it
    before. One query where nobody has to be asked; a handful where somebody has.
    """
    now = [stay for stay in stays if may_lack_room(stay)]
    if not now:
        return []
    tank, since = now[0].tank, now[0].since
    coming = {stay.animal_id for stay in now}
    before = Stay.objects.filter(animal__in=coming, tank=tank, until=since)
    coming -= set(before.values_list("animal", flat=True))
    there = [
        stay.animal
        for stay in present_stays().filter(tank=tank).select_related("animal")
        if stay.until is None
    ]
    return doubts_with(coming, tank, there, since)


def doubts_with(
    coming: Collection[int],
    tank: Tank,
    there: Sequence[Animal],
    since: Date,
    growth: Growth = as_read,
    unit: str = "",
) -> list[Doubt]:
    """What speaks against those of these who came to a tank; there: all who are in it now.

    unit: the program's, where it is known already.
    """
    named = [one.name for one in there if one.pk in coming]
    if not named:
        return []
    rooms = rooms_of({tank: there}, asof=since, days=ASKED_DAYS, only_expected=True, growth=growth)
    return [*_doubt(rooms[tank.pk], named, unit or the_program().length_unit)]


def may_lack_room(stay: Stay) -> bool:
    """Whether room is asked of at all: of one that is there now, where the floor is measured."""
    return stay.until is None and not _is_old_news(stay) and floor_of(stay.tank) is not None


def _is_old_news(stay: Stay) -> bool:
    """Written down long after it was so: nobody can choose another tank any more."""
    written_on = timezone.localdate(stay.recorded_at)  # today for one that is not written yet
    return (written_on - stay.since).days > OLD_NEWS_DAYS


def _doubt(room: Room, named: Sequence[str], unit: str) -> Iterator[Doubt]:
    said = {"animals": joined(named), "tank": room.tank}
    if room.is_too_small and room.floor is not None and room.wanted is not None:
        lack = lacking(room.floor, room.wanted, unit)
        words = tell("With {animals} in it, {tank} is too small: {lacking}.", **said, lacking=lack)
        yield Doubt(words, field="tank")
    elif room.middle is not None:
        words = tell(
            "With {animals} in it, {tank} gives room {until}, as they grow.",
            **said,
            until=until_words(room),
        )
        yield Doubt(words, field="tank")


def with_room(places: Iterable[Place], coming: Sequence[Animal], *, asof: Date) -> list[Place]:
    """The same places, each with what is said of its room with these put there."""
    places = list(places)
    keys = {one.pk for one in coming}
    company: dict[Tank, list[Animal]] = {}
    for place in places:
        here = company.setdefault(place.tank, [])
        known = {one.pk for one in here} | keys
        here += [stay.animal for stay in place.stays if stay.animal_id not in known]
    rooms = rooms_of(
        {tank: [*here, *coming] for tank, here in company.items()}, asof=asof, days=ASKED_DAYS
    )
    return [replace(place, room=_in_short(rooms[place.tank.pk])) for place in places]


def _in_short(room: Room) -> str:
    if room.is_too_small:
        return tell("too small with them") if len(room.counted) > 1 else tell("too small")
    return tell("room {until}", until=until_words(room)) if room.middle is not None else ""
