"""Tanks in which somebody can be put: who else is there, the water, and what speaks against it."""

import datetime
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import Place, stays_over
from breeding.housing.room.asking import with_room
from breeding.housing.water.fit import WaterFit
from breeding.housing.water.queries import water_fits
from breeding.pairings.company.doors import concerns_between
from breeding.pairings.company.known import Known, known_of
from breeding.program.models import Program
from breeding.words.language import tell, tell_many
from breeding.words.numbers import some

TANKS_SHOWN = 4  # about what a phone shows at once
MOST_JUDGED = 24  # tanks that are looked into: the emptiest
MOST_NAMED = 6
MOST_SAID = 3  # sentences against one


@dataclass(frozen=True)
class TankReading:
    """A tank, or one side of its closed divider, on a day: who else is in it, and its water.

    against_each: what speaks against each of those that are to be put there meeting the others, in
    the order they were named. room: what is said of the room there, where there is too little for
    them. unnamed: so many are in it, and nobody looked who, nor what speaks against it: that is
    asked once it is chosen.
    """

    tank: Tank
    side: str
    others: tuple[Animal, ...]
    water: WaterFit
    against_each: tuple[tuple[Animal, tuple[str, ...]], ...] = ()
    room: str = ""
    unnamed: int = 0

    @property
    def key(self) -> str:
        """As a form sends it: "12" or "12:left"."""
        return f"{self.tank.pk}:{self.side}" if self.side else f"{self.tank.pk}"

    @property
    def is_free(self) -> bool:
        return not self.others and not self.unnamed

    @property
    def males(self) -> tuple[Animal, ...]:
        return tuple(one for one in self.others if one.sex == Animal.Sex.MALE)

    @property
    def is_proposed(self) -> bool:
        return self.is_free and self.water.fit is True

    @property
    def company_words(self) -> str:
        if self.unnamed:
            return tell_many("with {number} animal", "with {number} animals", self.unnamed)
        if not self.others:
            return tell("free")
        return tell("with {names}", names=some([one.name for one in self.others], MOST_NAMED))

    @property
    def against(self) -> tuple[str, ...]:
        """What speaks against any of them, each sentence once."""
        return tuple(dict.fromkeys(words for _, said in self.against_each for words in said))

    @property
    def against_each_said(self) -> list[tuple[Animal, list[str]]]:
        """What speaks against each of them, of much the first, and how much more."""
        return [(animal, _first_of(said)) for animal, said in self.against_each]

    def __str__(self) -> str:
        return Stay(tank=self.tank, side=self.side).place


def _first_of(said: Sequence[str]) -> list[str]:
    more = len(said) - MOST_SAID
    if more <= 0:
        return list(said)
    rest = tell_many("{number} more thing like this.", "{number} more things like this.", more)
    return [*said[:MOST_SAID], rest]


def tank_readings(
    tanks: Iterable[Tank],
    on: datetime.date,
    *,
    program: Program,
    besides: Collection[Animal] = (),
    is_to_be_put: bool = False,
) -> list[TankReading]:
    """These tanks on a day, those that are free with fit water first: five queries.

    `besides`: animals that do not count as company, as the one that is to be put there.
    `is_to_be_put`: one of these is, so what speaks against each tank is said; tanks with anything
    come last. A handful of queries more, whatever the number of tanks. Of many tanks only the
    MOST_JUDGED with the fewest in them are looked into; the others stand behind them.
    """
    tanks = list(tanks)
    waters = water_fits(tanks, on, program=program)
    stays = stays_over(on).filter(tank__in=tanks).exclude(animal__in=[one.pk for one in besides])
    far: list[TankReading] = []
    if is_to_be_put and len(tanks) > MOST_JUDGED:
        inside = Counter(stays.values_list("tank", "side"))
        tanks, rest = _likeliest(tanks, inside, waters)
        far = [
            TankReading(tank, side, (), waters[tank.pk], unnamed=number)
            for tank in rest
            for side, number in _numbers(tank, inside)
        ]
    by_tank: dict[int, list[Stay]] = {tank.pk: [] for tank in tanks}
    read = stays.filter(tank__in=tanks) if far else stays
    for stay in read.select_related("animal").order_by("animal__call_name", "animal__code"):
        by_tank[stay.tank_id].append(stay)
    found = [
        TankReading(tank, side, others, waters[tank.pk])
        for tank in tanks
        for side, others in _others(by_tank[tank.pk])
    ]
    if is_to_be_put:
        found = _with_what_speaks_against(found, besides, on, program)
        found = _with_room(found, besides, on)
    return [*sorted(found, key=_best_first), *sorted(far, key=str)]


Inside = Mapping[tuple[int, str], int]  # how many, by tank and side


def _others(stays: Sequence[Stay]) -> list[tuple[str, tuple[Animal, ...]]]:
    """Who is on each side; those of a tank that is not divided are on one."""
    sides = [Stay.Side.LEFT, Stay.Side.RIGHT] if any(stay.side for stay in stays) else [""]
    return [
        (
            side,
            tuple(stay.animal for stay in stays if not side or stay.side in ("", side)),
        )
        for side in sides
    ]


def _numbers(tank: Tank, inside: Inside) -> list[tuple[str, int]]:
    """The same of a tank of which only the numbers are known."""
    middle = inside.get((tank.pk, ""), 0)
    parts = [(side, inside.get((tank.pk, side), 0)) for side in Stay.Side.values if side]
    if any(number for _, number in parts):
        return [(side, number + middle) for side, number in parts]
    return [("", middle)]


def _likeliest(
    tanks: Sequence[Tank], inside: Inside, waters: Mapping[int, WaterFit]
) -> tuple[list[Tank], list[Tank]]:
    """Those that are worth looking into, the emptiest with fit water; and the others."""

    def rank(tank: Tank) -> tuple[int, bool, str]:
        number = min(number for _, number in _numbers(tank, inside))
        return number, waters[tank.pk].fit is not True, str(tank)

    ordered = sorted(tanks, key=rank)
    return ordered[:MOST_JUDGED], ordered[MOST_JUDGED:]


def _best_first(one: TankReading) -> tuple[bool, bool, bool, bool, str]:
    """Among those alike in all that matters more, one with room before one without."""
    return bool(one.against), not one.is_proposed, bool(one.room), not one.is_free, str(one)


def _with_room(
    places: Sequence[TankReading], coming: Collection[Animal], on: datetime.date
) -> list[TankReading]:
    """The same places, each with what is said of room for the first who is to be put there.

    Of two that are taken apart one moves: the female stands for both.
    """
    first = list(coming)[:1]
    as_places = [
        Place(one.tank, one.side, tuple(Stay(animal=other) for other in one.others))
        for one in places
    ]
    said = with_room(as_places, first, asof=on)
    return [replace(one, room=place.room) for one, place in zip(places, said, strict=True)]


def _with_what_speaks_against(
    places: Sequence[TankReading],
    coming: Collection[Animal],
    on: datetime.date,
    program: Program,
) -> list[TankReading]:
    """The same places, each with what is asked when one of these is put there."""
    everybody = {one.pk: one for place in places for one in place.others}
    if not everybody:
        return list(places)
    known = known_of([*everybody.values(), *coming], program, on=on)
    return [
        replace(place, against_each=_against(place, coming, known)) if place.others else place
        for place in places
    ]


def _against(
    place: TankReading, coming: Collection[Animal], known: Known
) -> tuple[tuple[Animal, tuple[str, ...]], ...]:
    return tuple(
        (animal, tuple(dict.fromkeys(said)))
        for animal in coming
        if (
            said := [
                line
                for concern in concerns_between([animal], place.others, place.tank, known)
                if concern.answer != "said"
                for line in concern.sentences
            ]
        )
    )


class Offered(NamedTuple):
    """Places to choose from: the best few, the rest, and those that nobody looked into."""

    few: list[TankReading]
    rest: list[TankReading]
    far: list[TankReading]


def best_few(places: Sequence[TankReading], chosen: str = "") -> Offered:
    """The best few, with the chosen one by its key wherever it stands; the rest is to fold away.

    What has anything against it is never among the few. A single other one is not folded: its line
    takes no more room than the fold.
    """
    few = [
        one
        for at, one in enumerate(places)
        if (at < TANKS_SHOWN and not one.against and not one.unnamed)
        or (chosen and one.key == chosen)
    ]
    others = [one for one in places if one not in few]
    rest = [one for one in others if not one.unnamed]
    far = [one for one in others if one.unnamed]
    if len(rest) > 1 or any(one.against for one in rest):
        return Offered(few, rest, far)
    return Offered([one for one in places if one not in far], [], far)
