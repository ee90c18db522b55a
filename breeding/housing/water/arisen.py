"""Ammonia and nitrite that appear after more animals came: said with both dates; writes nothing."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Q
from django.utils import timezone

from breeding.housing.models import Stay, Tank, WaterTest
from breeding.housing.water.fit import Reading, heading_words, value_words
from breeding.housing.water.queries import (
    STANDS_DAYS,
    readings_of,
    standing_tests,
    water_defaults,
)
from breeding.housing.water.said import ammonia_words
from breeding.housing.work.queries import shares_water, sharing
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many
from breeding.words.numbers import spelled

Date = datetime.date
READ_OF_EACH = 60
APPEAR = ("ammonia", "nitrite")


@dataclass(frozen=True)
class Episode:
    """What stands since a test found it where the one before had not; newest is the last test."""

    tank: Tank
    first: Reading
    newest: Reading
    first_test: WaterTest


def arisen_of(tanks: Iterable[Tank], asof: Date) -> dict[int, tuple[str, ...]]:
    """By tank, a sentence for each of ammonia and nitrite that stands since animals came.

    Two queries, the second only where there is any. Tests and arrivals of tanks that share the
    water count; who only moved within it is no arrival.
    """
    tanks = list(tanks)
    tests = _tests(tanks, asof)
    episodes = [one for tank in tanks for one in _episodes(tank, tests)]
    if not episodes:
        return {}
    days = water_defaults()["after_stock"]["days"]
    arrivals = _stays(episodes, days)
    found: dict[int, tuple[str, ...]] = {}
    for one in episodes:
        came_on, names = _latest_arrival(one, arrivals, days)
        if came_on is not None:
            found[one.tank.pk] = (*found.get(one.tank.pk, ()), _words(one, came_on, names))
    return found


def _tests(tanks: list[Tank], asof: Date) -> list[WaterTest]:
    end = timezone.make_aware(
        datetime.datetime.combine(asof + datetime.timedelta(days=1), datetime.time.min)
    )
    rows = standing_tests().filter(
        sharing(tanks),
        Q(ammonia_mg_l__isnull=False) | Q(nitrite_mg_l__isnull=False),
        tested_at__lt=end,
        tested_at__gte=end - datetime.timedelta(days=STANDS_DAYS + 1),
    )
    newest = rows.select_related("tank").order_by("-tested_at", "-pk")
    return list(newest[: READ_OF_EACH * len(tanks)])


def _episodes(tank: Tank, tests: Sequence[WaterTest]) -> list[Episode]:
    found = []
    of_tank = [test for test in tests if shares_water(test.tank, tank)]
    for what in APPEAR:
        read = [
            (reading, test)
            for test in of_tank
            for reading in readings_of(test)
            if reading.what == what
        ]
        run = []
        for reading, test in read:
            if reading.value <= 0:
                break
            run.append((reading, test))
        if run:
            first, first_test = run[-1]
            found.append(Episode(tank, first, run[0][0], first_test))
    return found


def _stays(episodes: Sequence[Episode], days: int) -> list[Stay]:
    """Who came into or went out of these waters in the days that count: one query."""
    since = min(one.first.on for one in episodes) - datetime.timedelta(days=days)
    until = max(one.first.on for one in episodes)
    rows = Stay.objects.filter(
        sharing({one.tank for one in episodes}),
        Q(since__gte=since, since__lte=until) | Q(until__gte=since, until__lte=until),
    )
    return list(rows.select_related("tank", "animal").order_by("-since", "animal__call_name"))


def _latest_arrival(
    one: Episode, stays: Sequence[Stay], days: int
) -> tuple[Date | None, list[str]]:
    """The last day before on which anybody came into this water from outside, and who."""
    here = [stay for stay in stays if shares_water(stay.tank, one.tank)]
    moved = {(stay.animal_id, stay.until) for stay in here if stay.until is not None}
    first = one.first.on - datetime.timedelta(days=days)
    came = [
        stay
        for stay in here
        if first <= stay.since <= one.first.on and not _moved_within(stay, moved)
    ]
    if not came:
        return None, []
    on = max(stay.since for stay in came)
    return on, [stay.animal.name for stay in came if stay.since == on]


def _moved_within(stay: Stay, moved: set[tuple[int, Date]]) -> bool:
    """Whether it came out of a tank of the same water that day; a stay of one day is not that."""
    return stay.until != stay.since and (stay.animal_id, stay.since) in moved


def _words(one: Episode, came_on: Date, names: Sequence[str]) -> str:
    said = _first_words(one, came_on, names)
    if one.newest.on != one.first.on:
        said = tell(
            "{before}; {value} on {day}",
            before=said,
            value=value_words(one.newest),
            day=long_day(one.newest.on),
        )
    if one.first.what != "ammonia":
        return f"{said}."
    return f"{said}. {ammonia_words(one.first_test)}"


def _first_words(one: Episode, came_on: Date, names: Sequence[str]) -> str:
    """Without its stop: what was found first, and how long after whom."""
    days, found = (one.first.on - came_on).days, _found_words(one)
    if not days:
        return tell("{found}, the day on which {who} came in", found=found, who=_who_words(names))
    return tell_many(
        "{found}, {number} day after {who} came in on {day}",
        "{found}, {number} days after {who} came in on {day}",
        days,
        found=found,
        who=_who_words(names),
        day=long_day(came_on),
    )


def _found_words(one: Episode) -> str:
    return tell(
        "{what} {value} on {day}",
        what=heading_words(one.first.what),
        value=value_words(one.first),
        day=long_day(one.first.on),
    )


def _who_words(names: Sequence[str]) -> str:
    others = len(names) - 1
    if not others:
        return names[0]
    return tell_many(
        "{animal} and {spelled} other",
        "{animal} and {spelled} others",
        others,
        animal=names[0],
        spelled=spelled(others),
    )
