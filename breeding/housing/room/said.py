"""What is said of the room in a tank: one sentence first, then what it rests on."""

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from breeding.animals.growth.ahead import Ground
from breeding.housing.figures import figure, in_tenths
from breeding.housing.room.reading import Counted, Room
from breeding.housing.space import Floor, Wanted
from breeding.words.days import long_day, span_words
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import joined, some
from breeding.words.sizes import MM_PER_UNIT, length

METRES_PER_FOOT = 0.3048
DIVIDED = message(
    "Its divider is closed. Where it stands is not on record, so the whole floor is counted; each "
    "side gives less."
)
MOST_NAMED = 6
DAYS_A_YEAR = 365


@dataclass(frozen=True)
class RoomSaid:
    """The answer in a sentence, what is lacking or not known, and what it all rests on."""

    answer: str
    further: tuple[str, ...]
    ground: tuple[str, ...]
    is_small: bool
    is_soon: bool


def said_of(
    room: Room, *, unit: str, beside: Mapping[str, Any] | None = None, is_divided: bool = False
) -> RoomSaid | None:
    """For a tank's page; None where there is nothing to say: nobody in it, or no rule for them.

    unit: the program's "cm" or "in". beside: the part "space" of fixtures/water.json, where the
    figures of others are said as well. is_divided: whether its divider is closed.
    """
    answer = answer_of(room, unit=unit)
    if not answer:
        return None
    ground = (*_rule(room, unit), *_grounds(room), *_beside(beside, unit))
    return RoomSaid(
        answer,
        (
            *_unknown(room),
            *_left_out(room),
            *((tell(DIVIDED),) if is_divided and room.is_told else ()),
        ),
        ground if room.is_told else (),
        room.is_too_small,
        not room.is_too_small and room.middle is not None,
    )


def answer_of(room: Room, *, unit: str) -> str:
    """The answer in one sentence; empty where there is nothing to say."""
    if room.asks_for_a_floor:
        return tell("How much room it gives is not known: its floor has not been measured.")
    if room.floor is None or not (room.counted or room.unknown):
        return ""
    if not room.counted or room.wanted is None:
        names = some([one.name for one in room.unknown], MOST_NAMED)
        return tell(
            "Whether it gives room is not known: nobody has measured {animals}.", animals=names
        )
    if room.is_too_small:
        lack = lacking(room.floor, room.wanted, unit)
        return tell("Too small for {animals}: {lacking}.", animals=these(room), lacking=lack)
    if room.early is not None:
        return tell("Room for {animals} {until}.", animals=these(room), until=until_words(room))
    return _all_the_time(room)


def these(room: Room) -> str:
    """ "these 5"; where not everybody's width is known: "the 3 whose width is known"."""
    number = len(room.counted)
    if room.unknown:
        if number > 1:
            return tell("the {number} whose width is known", number=number)
        return room.counted[0].animal.name
    return tell("these {number}", number=number) if number > 1 else room.counted[0].animal.name


def until_words(room: Room) -> str:
    """ "until about Tue 3 Mar 2026 (between 12 February and 20 April 2026)"."""
    if room.middle is None:
        return tell("until {day} at the earliest; it may well be longer", day=_day(room.early))
    day = _day(room.middle)
    if room.early == room.asof:
        return tell("until about {day}, and if they grow fast no longer", day=day)
    if room.late is None:
        return tell("until about {day} ({early} at the earliest)", day=day, early=_day(room.early))
    if room.early == room.late:
        return tell("until about {day}", day=day)
    return tell("until about {day} (between {days})", day=day, days=_span(room.early, room.late))


def lacking(floor: Floor, wanted: Wanted, unit: str, at: int = 0) -> str:
    """What is wanted and what is there, of each side and of the floor, where it lacks.

    at: the day, as a column of what is wanted.
    """
    said = []
    if wanted.floor[at] > floor.area:
        said.append(
            tell(
                "they want {wanted} of floor and it has {has}",
                wanted=area(wanted.floor[at], unit),
                has=area(floor.area, unit),
            )
        )
    if wanted.front_to_back[at] > floor.front_to_back:
        said.append(
            tell(
                "the largest wants {wanted} front to back and it has {has}",
                wanted=side(wanted.front_to_back[at], unit),
                has=side(floor.front_to_back, unit),
            )
        )
    if wanted.length[at] > floor.length:
        said.append(
            tell(
                "the largest wants {wanted} of length and it has {has}",
                wanted=side(wanted.length[at], unit),
                has=side(floor.length, unit),
            )
        )
    return joined(said)


def area(square_mm: float, unit: str) -> str:
    """A floor in square metres, or in square feet in a program of inches.

    >>> area(4_036_800, "cm"), area(4_036_800, "in")
    ('4.04 m²', '43.5 square feet')
    """
    square_metres = square_mm / 1e6
    if unit == "in":
        feet = figure(square_metres / METRES_PER_FOOT**2, ".1f")
        return tell("{number} square feet", number=feet)
    return f"{figure(square_metres, '.2f')} m²"


def side(millimetres: float, unit: str) -> str:
    """A side in the fewest figures: 120 cm, 112.5 cm."""
    return f"{in_tenths(millimetres / MM_PER_UNIT[unit])} {unit}"


def _day(on: datetime.date | None) -> str:
    return long_day(on) if on else ""


def _span(first: datetime.date | None, last: datetime.date | None) -> str:
    return span_words(first, last) if first and last else ""


def _all_the_time(room: Room) -> str:
    if not any(one.ahead is not None and one.ahead.growth is not None for one in room.counted):
        return tell("Room for {animals} as they were measured.", animals=these(room))
    years = (room.until - room.asof).days // DAYS_A_YEAR
    if years < 2:
        return tell("Room for {animals}.", animals=these(room))
    return tell_many(
        "Room for {animals} for the next {number} year, as they grow.",
        "Room for {animals} for the next {number} years, as they grow.",
        years,
        animals=these(room),
    )


def _unknown(room: Room) -> Iterator[str]:
    if room.unknown and room.counted:
        names = some([one.name for one in room.unknown], MOST_NAMED)
        yield tell(
            "Not counted, for nobody knows how wide: {animals}. They want room too.", animals=names
        )


def _left_out(room: Room) -> Iterator[str]:
    if room.left_out and room.counted:
        names = some([one.name for one in room.left_out], MOST_NAMED)
        yield tell("No rule of space is on record for {animals}: not counted.", animals=names)


def _rule(room: Room, unit: str) -> Iterator[str]:
    if room.wanted is None or room.floor is None:
        return
    largest = room.counted[0]
    floor = room.floor
    yield tell_many(
        "Now it wants {across} front to back, {long} of length and {floor} of floor; the tank has "
        "{has_across}, {has_long} and {has_floor}.",
        "Now they want {across} front to back, {long} of length and {floor} of floor; the tank has "
        "{has_across}, {has_long} and {has_floor}.",
        len(room.counted),
        across=side(room.wanted.front_to_back[0], unit),
        long=side(room.wanted.length[0], unit),
        floor=area(room.wanted.floor[0], unit),
        has_across=side(floor.front_to_back, unit),
        has_long=side(floor.length, unit),
        has_floor=area(floor.area, unit),
    )
    rule = largest.rule
    figures = {
        "across": figure(rule.front_to_back),
        "animal": largest.animal.name,
        "width": length(largest.width_mm, unit),
        "long": figure(rule.length),
        "first": figure(rule.floor_first),
    }
    if len(room.counted) > 1:
        yield tell(
            "The rule, an assumption of this project that can be changed with the figures of each "
            "species: front to back {across} times the width of the largest, {animal} ({width}), "
            "in length {long} times, and of floor {first} squares of its width and {further} for "
            "each further one.",
            **figures,
            further=figure(rule.floor_further),
        )
    else:
        yield tell(
            "The rule, an assumption of this project that can be changed with the figures of each "
            "species: front to back {across} times the width of the largest, {animal} ({width}), "
            "in length {long} times, and of floor {first} squares of its width.",
            **figures,
        )


# By what it rests on: of one animal, and of several.
GROUNDS: Mapping[Ground, tuple[str, str]] = {
    "own": (
        message("{animals}: on its own curve of growth."),
        message("{animals}: on their own curve of growth."),
    ),
    "others": (message("{animals}: leaning on how others of this program grow."),) * 2,
    "published": (
        message(
            "{animals}: leaning on a published curve of wild animals, for nobody here has taught "
            "more."
        ),
    )
    * 2,
    "line": (message("{animals}: on a straight line through what was measured."),) * 2,
    "measured": (
        message("{animals}: taken to stay as measured, for nothing says how it grows."),
        message("{animals}: taken to stay as measured, for nothing says how they grow."),
    ),
}


def _grounds(room: Room) -> Iterator[str]:
    by_ground: dict[Ground, list[Counted]] = {}
    for one in room.counted:
        if one.ahead is not None:
            by_ground.setdefault(one.ahead.ground, []).append(one)
    for ground, some_of_them in by_ground.items():
        names = some([one.animal.name for one in some_of_them], MOST_NAMED)
        yield tell(GROUNDS[ground][len(some_of_them) > 1], animals=names)
    never = [one for one in room.counted if one.ahead is not None and not _was_measured(one)]
    if never:
        names = some([one.animal.name for one in never], MOST_NAMED)
        yield tell("Never measured, so judged by age alone: {animals}.", animals=names)


def _was_measured(one: Counted) -> bool:
    return one.ahead is not None and bool(one.ahead.points or one.ahead.loose)


def _beside(beside: Mapping[str, Any] | None, unit: str) -> Sequence[str]:
    """What others say, where their figures are on record."""
    if not beside:
        return ()
    scale = MM_PER_UNIT[unit]
    wide, long, across = (
        f"{figure(beside[name] / scale, '.0f')} {unit}"
        for name in ("adult_width_mm", "few_length_mm", "few_width_mm")
    )
    words = tell(
        "For comparison: {floor} of floor is {whose}; no adult in less than {wide} front to back, "
        "and {long} by {across} for three to five, is {source}.",
        floor=area(beside["two_floor_m2"] * 1e6, unit),
        whose=tell(beside["two_source"]),
        wide=wide,
        long=long,
        across=across,
        source=tell(beside["source"]),
    )
    return (words,)
