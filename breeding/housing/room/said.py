"""What is said of the room in a tank: one sentence first, then what it rests on."""

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from breeding.animals.growth.ahead import Ground
from breeding.housing.room.reading import Counted, Room
from breeding.housing.space import Floor, Wanted
from breeding.words.days import long_day, span_words
from breeding.words.numbers import counted, joined, one_or_more, some
from breeding.words.sizes import MM_PER_UNIT, length

METRES_PER_FOOT = 0.3048
DIVIDED = (
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
        (*_unknown(room), *_left_out(room), *((DIVIDED,) if is_divided and room.is_told else ())),
        ground if room.is_told else (),
        room.is_too_small,
        not room.is_too_small and room.middle is not None,
    )


def answer_of(room: Room, *, unit: str) -> str:
    """The answer in one sentence; empty where there is nothing to say."""
    if room.asks_for_a_floor:
        return "How much room it gives is not known: its floor is not measured."
    if room.floor is None or not (room.counted or room.unknown):
        return ""
    if not room.counted or room.wanted is None:
        return f"Whether it gives room is not known: {_nobody_measured(room)}."
    if room.is_too_small:
        return f"Too small for {these(room)}: {lacking(room.floor, room.wanted, unit)}."
    if room.early is not None:
        return f"Room for {these(room)} {until_words(room)}."
    return f"Room for {these(room)}{_all_the_time(room)}."


def these(room: Room) -> str:
    """ "these 5"; where not everybody's width is known: "the 3 whose width is known"."""
    number = len(room.counted)
    if room.unknown:
        return f"the {number} whose width is known" if number > 1 else room.counted[0].animal.name
    return f"these {number}" if number > 1 else room.counted[0].animal.name


def until_words(room: Room) -> str:
    """ "until about Tue 3 Mar 2026 (between 12 February and 20 April 2026)"."""
    if room.middle is None:
        return f"until {_day(room.early)} at the earliest; it may well be longer"
    if room.early == room.asof:
        return f"until about {_day(room.middle)}, and if they grow fast no longer"
    if room.late is None:
        return f"until about {_day(room.middle)} ({_day(room.early)} at the earliest)"
    if room.early == room.late:
        return f"until about {_day(room.middle)}"
    return f"until about {_day(room.middle)} (between {_span(room.early, room.late)})"


def lacking(floor: Floor, wanted: Wanted, unit: str, at: int = 0) -> str:
    """What is wanted and what is there, of each side and of the floor, where it lacks.

    at: the day, as a column of what is wanted.
    """
    said = []
    if wanted.floor[at] > floor.area:
        said.append(
            f"they want {area(wanted.floor[at], unit)} of floor and it has {area(floor.area, unit)}"
        )
    if wanted.front_to_back[at] > floor.front_to_back:
        said.append(
            f"the largest wants {side(wanted.front_to_back[at], unit)} front to back and it has "
            f"{side(floor.front_to_back, unit)}"
        )
    if wanted.length[at] > floor.length:
        said.append(
            f"the largest wants {side(wanted.length[at], unit)} of length and it has "
            f"{side(floor.length, unit)}"
        )
    return joined(said)


def area(square_mm: float, unit: str) -> str:
    """A floor in square metres, or in square feet in a program of inches.

    >>> area(4_036_800, "cm"), area(4_036_800, "in")
    ('4.04 m²', '43.5 square feet')
    """
    square_metres = square_mm / 1e6
    if unit == "in":
        return f"{square_metres / METRES_PER_FOOT**2:.1f} square feet"
    return f"{square_metres:.2f} m²"


def side(millimetres: float, unit: str) -> str:
    """A side in the fewest figures: 120 cm, 112.5 cm."""
    return f"{millimetres / MM_PER_UNIT[unit]:.1f}".removesuffix(".0") + f" {unit}"


def _day(on: datetime.date | None) -> str:
    return long_day(on) if on else ""


def _span(first: datetime.date | None, last: datetime.date | None) -> str:
    return span_words(first, last) if first and last else ""


def _all_the_time(room: Room) -> str:
    if not any(one.ahead is not None and one.ahead.growth is not None for one in room.counted):
        return " as they were measured"
    years = (room.until - room.asof).days // DAYS_A_YEAR
    return f" for the next {counted(years, 'year')}, as they grow" if years > 1 else ""


def _nobody_measured(room: Room) -> str:
    names = some([one.name for one in room.unknown], MOST_NAMED)
    return f"nobody has measured {names}"


def _unknown(room: Room) -> Iterator[str]:
    if room.unknown and room.counted:
        names = some([one.name for one in room.unknown], MOST_NAMED)
        yield f"Not counted, for nobody knows how wide: {names}. They want room too."


def _left_out(room: Room) -> Iterator[str]:
    if room.left_out and room.counted:
        names = some([one.name for one in room.left_out], MOST_NAMED)
        yield f"No rule of space is on record for {names}: not counted."


def _rule(room: Room, unit: str) -> Iterator[str]:
    if room.wanted is None or room.floor is None:
        return
    largest = room.counted[0]
    wanted = (
        f"{side(room.wanted.front_to_back[0], unit)} front to back, "
        f"{side(room.wanted.length[0], unit)} of length and "
        f"{area(room.wanted.floor[0], unit)} of floor"
    )
    floor = room.floor
    yield (
        f"Now {one_or_more(len(room.counted), 'it wants', 'they want')} {wanted}; the tank has "
        f"{side(floor.front_to_back, unit)}, {side(floor.length, unit)} and "
        f"{area(floor.area, unit)}."
    )
    rule = largest.rule
    further = f" and {rule.floor_further:g} for each further one" if len(room.counted) > 1 else ""
    yield (
        f"The rule, an assumption of this project that can be changed with the figures of each "
        f"species: front to back {rule.front_to_back:g} times the width of the largest, "
        f"{largest.animal.name} ({length(largest.width_mm, unit)}), in length {rule.length:g} "
        f"times, and of floor {rule.floor_first:g} squares of its width{further}."
    )


GROUNDS: Mapping[Ground, str] = {
    "own": "on {its} own curve of growth",
    "others": "leaning on how others of this program grow",
    "published": "leaning on a published curve of wild animals, for nobody here has taught more",
    "line": "on a straight line through what was measured",
    "measured": "taken to stay as measured, for nothing says how {they_grow}",
}


def _grounds(room: Room) -> Iterator[str]:
    by_ground: dict[Ground, list[Counted]] = {}
    for one in room.counted:
        if one.ahead is not None:
            by_ground.setdefault(one.ahead.ground, []).append(one)
    for ground, some_of_them in by_ground.items():
        names = some([one.animal.name for one in some_of_them], MOST_NAMED)
        several = len(some_of_them) > 1
        words = GROUNDS[ground].format(
            its="their" if several else "its", they_grow="they grow" if several else "it grows"
        )
        yield f"{names}: {words}."
    never = [one for one in room.counted if one.ahead is not None and not _was_measured(one)]
    if never:
        names = some([one.animal.name for one in never], MOST_NAMED)
        yield f"Never measured, so by age alone: {names}."


def _was_measured(one: Counted) -> bool:
    return one.ahead is not None and bool(one.ahead.points or one.ahead.loose)


def _beside(beside: Mapping[str, Any] | None, unit: str) -> Sequence[str]:
    """What others say, where their figures are on record."""
    if not beside:
        return ()
    scale = MM_PER_UNIT[unit]
    wide, long, across = (
        f"{beside[name] / scale:.0f} {unit}"
        for name in ("adult_width_mm", "few_length_mm", "few_width_mm")
    )
    return (
        f"For comparison: {area(beside['two_floor_m2'] * 1e6, unit)} of floor is "
        f"{beside['two_source']}; no adult in less than {wide} front to back, and {long} by "
        f"{across} for three to five, is {beside['source']}.",
    )
