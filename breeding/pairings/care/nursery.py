"""The nursery for an expected birth: what is seen to, what the tank's own records say."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.pairings.care.places import TankReading, tank_readings
from breeding.pairings.company.known import known_of
from breeding.pairings.models import NurseryTick
from breeding.pairings.season.reading import SeasonReading
from breeding.program.models import Program
from breeding.program.problems.doubts import Doubt
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined, some

Item = NurseryTick.Item


class Point(NamedTuple):
    """One point of the list. `tick` is None for what is computed, and for what is not ticked."""

    key: str
    label: str
    is_done: bool
    words: str
    tick: NurseryTick | None = None
    can_tick: bool = True


@dataclass(frozen=True)
class Nursery:
    """How far the nursery for a female's expected birth is."""

    season: SeasonReading
    tank: TankReading | None
    points: tuple[Point, ...]

    @property
    def is_ready(self) -> bool:
        return all(point.is_done for point in self.points)

    @property
    def lacks(self) -> list[str]:
        return [point.label for point in self.points if not point.is_done]

    @property
    def state_words(self) -> str:
        """How far it is in a few words.

        The day's line can carry them: "4 of 7 seen to; open: divider in and males away".
        """
        done = len(self.points) - len(self.lacks)
        if self.is_ready:
            return tell("ready: all {done} points seen to", done=done)
        return tell(
            "{done} of {number} seen to; open: {points}",
            done=done,
            number=len(self.points),
            points=joined(self.lacks),
        )

    @property
    def tone(self) -> str:
        """How its day is shown: seen to, overdue, or still ahead."""
        if self.is_ready:
            return "good"
        is_late = self.ready_by is not None and self.ready_by <= self.season.asof
        return "now" if is_late else "soon"

    @property
    def ready_by(self) -> datetime.date | None:
        """The day it is wanted: from the announced window and the program's lead."""
        window = self.season.estimate.announced
        if window is None:
            return None
        return window.p05 - datetime.timedelta(days=self.season.rules.nursery_lead_days)


def nursery_of(season: SeasonReading, program: Program) -> Nursery:
    """One female's nursery, on the day of her season's reading."""
    return nurseries([season], program)[season.female.pk]


def nurseries(seasons: Iterable[SeasonReading], program: Program) -> dict[int, Nursery]:
    """The nursery of each female by her key, all read for one day; five queries in all.

    A tick counts for the birth expected when it was made: those made before her last outcome
    belong to an earlier one, and those made for another tank than the one chosen now, or for one
    that was given up, count no more.
    """
    seasons = list(seasons)
    ticks: dict[int, list[NurseryTick]] = {season.female.pk: [] for season in seasons}
    made = NurseryTick.objects.filter(
        female__in=list(ticks), withdrawn_at__isnull=True, outcome__isnull=True
    )
    for tick in made.select_related("tank", "recorded_by").order_by("on", "pk"):
        if tick.tank is None or not tick.tank.is_withdrawn:
            ticks[tick.female_id].append(tick)
    current = {season.female.pk: _current(ticks[season.female.pk], season) for season in seasons}
    chosen = {pk: found[Item.TANK].tank for pk, found in current.items() if Item.TANK in found}
    tanks = {tank.pk: tank for tank in chosen.values() if tank is not None}
    rooms = _rooms(tanks.values(), seasons, program) if tanks else {}
    found = {}
    for season in seasons:
        tank = chosen.get(season.female.pk)
        room = _without(rooms[tank.pk], season.female.pk) if tank is not None else None
        points = _points(season, current[season.female.pk], room, program)
        found[season.female.pk] = Nursery(season, room, tuple(points))
    return found


def _rooms(
    tanks: Iterable[Tank], seasons: list[SeasonReading], program: Program
) -> dict[int, list[TankReading]]:
    rooms: dict[int, list[TankReading]] = {}
    for reading in tank_readings(tanks, seasons[0].asof, program=program):
        rooms.setdefault(reading.tank.pk, []).append(reading)
    return rooms


def _without(sides: list[TankReading], female: int) -> TankReading:
    """The side she is in, else the emptiest; she herself is no company for her pups."""
    hers = [one for one in sides if any(other.pk == female for other in one.others)]
    side = min(hers or sides, key=lambda one: len(one.others))
    others = tuple(other for other in side.others if other.pk != female)
    return TankReading(side.tank, side.side, others, side.water)


def _current(ticks: list[NurseryTick], season: SeasonReading) -> dict[str, NurseryTick]:
    """The latest standing tick of each item that counts for the birth expected now."""
    last = season.last_outcome
    counted = {
        tick.item: tick
        for tick in ticks
        if tick.on <= season.asof
        and (
            last is None
            or tick.on > last.on
            or (tick.on == last.on and tick.recorded_at > last.recorded_at)
        )
    }
    tank = counted[Item.TANK].tank_id if Item.TANK in counted else None
    return {
        item: tick
        for item, tick in counted.items()
        if item not in (Item.CYCLED, Item.DIVIDER) or tick.tank_id == tank
    }


def _has_fit_water(room: TankReading, asof: datetime.date, program: Program) -> bool:
    """By a test no older than one of a nursery may be, whatever the tank is otherwise."""
    most, on = program.nursery_test_days, room.water.tested_on
    if room.water.fit is not True or on is None:
        return False
    return not most or (asof - on).days <= most


def _water_words(room: TankReading | None, asof: datetime.date, program: Program) -> str:
    if room is None:
        return tell("Choose the tank first.")
    if room.water.fit is True and not _has_fit_water(room, asof, program):
        return tell(
            "{words} Test it again: in a nursery a test counts for {number} days.",
            words=room.water.words,
            number=program.nursery_test_days,
        )
    return room.water.words


def _points(
    season: SeasonReading,
    ticks: dict[str, NurseryTick],
    room: TankReading | None,
    program: Program,
) -> list[Point]:
    chosen = ticks.get(Item.TANK)
    where = str(room) if room is not None else ""
    points = [
        Point(
            Item.TANK,
            tell("tank chosen"),
            room is not None,
            where or tell("Choose one below."),
            chosen,
            can_tick=False,
        ),
        Point(
            "free",
            tell("tank free"),
            room is not None and room.is_free,
            _free_words(season, room),
            can_tick=False,
        ),
        _ticked(Item.CYCLED, tell("tank cycled"), ticks, tell("The filter is run in."), room),
        Point(
            "water",
            tell("water fit"),
            room is not None and _has_fit_water(room, season.asof, program),
            _water_words(room, season.asof, program),
            can_tick=False,
        ),
        _ticked(
            Item.DIVIDER,
            tell("divider in"),
            ticks,
            tell("Clear, with holes no pup fits through: the dam can settle on pups."),
            room,
        ),
        _ticked(
            Item.FOOD,
            tell("food for the pups ready"),
            ticks,
            tell("Wanted within days: by the yolk sac, not by the calendar."),
            True,
        ),
    ]
    males = _ticked(
        Item.MALES,
        tell("males away"),
        ticks,
        tell("A male can hurt a female at birth and the pups."),
        True,
    )
    against = _males_words(season, room)
    if against:
        males = males._replace(is_done=False, words=against)
    return [*points, males]


def _ticked(
    item: str,
    label: str,
    ticks: dict[str, NurseryTick],
    words: str,
    room: TankReading | bool | None,
) -> Point:
    tick = ticks.get(item)
    if tick is not None:
        day, who = long_day(tick.on), tick.recorded_by
        words = (
            tell("Ticked on {day} by {who}.", day=day, who=who)
            if who
            else tell("Ticked on {day}.", day=day)
        )
    elif not room:
        words = tell("Choose the tank first.")
    return Point(item, label, tick is not None, words, tick, can_tick=bool(room))


def _free_words(season: SeasonReading, room: TankReading | None) -> str:
    if room is None:
        return tell("Choose the tank first.")
    if room.is_free:
        return tell(
            "On record nobody is in it but {female}, if she is there.", female=season.female.name
        )
    return tell(
        "{names} in it: move them, or choose another tank.",
        names=joined([one.name for one in room.others]),
    )


def _males_words(season: SeasonReading, room: TankReading | None) -> str:
    """What the records say against "males away"."""
    if season.with_now:
        males = joined([stretch.male.name for stretch in season.with_now])
        return tell(
            "{female} is with {males} on record: separate them first.",
            female=season.female.name,
            males=males,
        )
    if room is not None and room.males:
        return tell(
            "{names} in {place}: move him first.",
            names=joined([one.name for one in room.males]),
            place=room,
        )
    return ""


def doubts_of_nursery(
    female: Animal, tank: Tank, *, on: datetime.date, program: Program
) -> list[Doubt]:
    """What speaks against her pups being born in this tank: who is there, its kind, its water."""
    sides = tank_readings([tank], on, program=program, besides=[female], is_to_be_put=True)
    room = min(sides, key=lambda side: len(side.others))
    known = known_of([female, *room.others], program, on=on)
    said = list(room.against)
    if grown := [one.name for one in room.others if known.is_grown(one)]:
        said.append(
            tell_many(
                "{names} is in {place}; an adult can bite or crush newborn pups.",
                "{names} are in {place}; an adult can bite or crush newborn pups.",
                len(grown),
                names=some(grown, 5),
                place=room,
            )
        )
    if tank.kind == Tank.Kind.QUARANTINE:
        said.append(
            tell("{tank} is for quarantine: what arrives there can carry something in.", tank=tank)
        )
    if room.water.fit is False:
        said.append(
            tell("The water of {tank} is not fit. {water}", tank=tank, water=room.water.words)
        )
    return [Doubt(one, "tank") for one in dict.fromkeys(said)]
