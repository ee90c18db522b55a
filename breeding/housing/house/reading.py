"""The fish house gathered for its drawing: tanks, places, who is in them, water; writes nothing."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from breeding.animals.models import Animal
from breeding.housing.house.figures import Figure, Side, figures_of, is_young, sized
from breeding.housing.house.marks import LEVELS, Level, Mark, marks_of, pressing
from breeding.housing.house.plan import Box, Plan, Standing, plan_of
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import tanks_now
from breeding.housing.water.fit import WaterFit
from breeding.housing.water.queries import water_fits
from breeding.housing.water.watched import watched_tanks
from breeding.program.frame.requests import PageRequest

Date = datetime.date

MARKS_SHOWN = 3  # on a card; the tank's own page has them all
INSIDE_PX = 8  # between the glass and those behind it
NAME_INSIDE_PX = 24
CARD_WIDE_PX, CARD_HIGH_PX = 240, 150  # of the largest tank among the cards of a phone
MOST_WITH_FACES = 60  # tanks; of more the plan says how many are in each
FEW_TANKS, FIRST_CARDS, CARDS_ON_A_PAGE = 30, 12, 48
SIDES = tuple(Stay.Side.values)
WELL = "well"  # those in which nothing is due, in an address
Part = tuple[str, tuple[Figure, ...]]


@dataclass(frozen=True)
class TankPicture:
    """A tank as it is drawn: on the plan, and once more on its card.

    number: as one walks through the house. place: in hundredths of its room. parts: who is in the
    whole tank, or on each side of its divider. on_plan, on_card: pixels for a mm.
    """

    tank: Tank
    number: int
    box: Box
    place: str
    stays: tuple[Stay, ...]
    today: Date
    on_plan: float
    on_card: float
    is_divided: bool
    fit: WaterFit
    marks: tuple[Mark, ...]

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        return tuple((side, figures_of(some, self.today)) for side, some in _parts(self.stays))

    @property
    def sides(self) -> tuple[Side, ...]:
        return _sides(self.parts, self.box, self.on_plan, is_on_plan=True)

    @property
    def card_sides(self) -> tuple[Side, ...]:
        return _sides(self.parts, self.box, self.on_card, is_on_plan=False)

    @property
    def card_px(self) -> tuple[int, int]:
        return round(self.box.wide * self.on_card), round(self.box.deep * self.on_card)

    @property
    def count(self) -> int:
        return len(self.stays)

    @property
    def box_classes(self) -> str:
        """For the style sheet: what of the box is to be seen."""
        box = self.box
        said = {
            "tight": not box.is_roomy,
            "unmeasured": not box.is_measured,
            "turned": box.is_turned,
        }
        return " ".join(name for name, is_so in said.items() if is_so)

    @property
    def glass_classes(self) -> str:
        if self.is_divided:
            return "divided"
        return "divides" if self.tank.can_divide else ""

    @property
    def more_marks(self) -> int:
        return max(0, len(self.marks) - MARKS_SHOWN)

    @cached_property
    def pressing(self) -> Level | None:
        return pressing(self.marks)


@dataclass(frozen=True)
class RoomPicture:
    """A room with its tanks. wide: in hundredths of the drawing; shape: its width and depth.

    lines: between tanks that share their water, each as the middles of two, in hundredths.
    """

    name: str
    wide: float
    shape: tuple[int, int]
    tanks: tuple[TankPicture, ...]
    lines: tuple[tuple[float, float, float, float], ...]


@dataclass(frozen=True)
class Cards:
    """Tanks that press alike: first those that stand open, then those in a fold.

    more: how many do not stand open; where none of them is in the fold, they are a page of their
    own.
    """

    level: str
    first: list[TankPicture]
    folded: list[TankPicture]
    more: int
    number: int


@dataclass(frozen=True)
class House:
    """The whole house. metre: how wide one is drawn, in hundredths of the drawing."""

    rooms: tuple[RoomPicture, ...]
    metre: float
    is_arranged: bool
    has_unmeasured: bool

    @cached_property
    def tanks(self) -> list[TankPicture]:
        return [one for room in self.rooms for one in room.tanks]

    def by_pressing(self, level: str) -> list[TankPicture]:
        """Those of a `Level`, or with `WELL` those in which nothing is due."""
        return [one for one in self.tanks if (one.pressing or WELL) == level]

    @property
    def is_drawn_with_faces(self) -> bool:
        return len(self.tanks) <= MOST_WITH_FACES

    @property
    def drawn_with_faces(self) -> list[TankPicture]:
        """On the plan or on a card."""
        if self.is_drawn_with_faces:
            return self.tanks
        return [one for cards in self.cards for one in (*cards.first, *cards.folded)]

    @cached_property
    def cards(self) -> list[Cards]:
        """Under now, this week, in its time and all well, those of which that is so."""
        is_whole = len(self.tanks) <= FEW_TANKS
        found = []
        for level in (*LEVELS, WELL):
            if some := self.by_pressing(level):
                first = FIRST_CARDS if level in LEVELS[:2] else 0
                found.append(
                    Cards(
                        level,
                        some[:first],
                        some[first:] if is_whole else [],
                        len(some) - first,
                        len(some),
                    )
                )
        return found

    @property
    def water_not_known(self) -> int:
        return sum(1 for one in self.tanks if one.fit.fit is None and one.count)


def standing_tanks(asof: Date) -> list[Tank]:
    """Every tank in use with those in it as `present_stays`."""
    tanks = tanks_now(asof)
    for tank in tanks:
        stays: list[Stay] = tank.present_stays  # type: ignore[attr-defined]
        tank.present_stays = [one for one in stays if one.since <= asof]  # type: ignore[attr-defined]
    return tanks


def give_dams(pictures: Iterable[TankPicture]) -> None:
    """The young in these with their dams, which name their litters: one query for all."""
    young = [
        stay.animal for one in pictures for stay in one.stays if is_young(stay.animal, one.today)
    ]
    dams = Animal.objects.in_bulk({one.dam_id for one in young if one.dam_id})
    for one in young:
        if one.dam_id:
            one.dam = dams[one.dam_id]


def house_of(request: PageRequest, *, today: Date) -> House:
    """Everything on the page; as many queries however many tanks and animals."""
    tanks = standing_tanks(today)
    watched = watched_tanks(request.program, asof=today)
    fits = {one.tank.pk: one.fit for one in watched}
    empty = [one for one in tanks if one.pk not in fits]
    fits |= water_fits(empty, today, program=request.program) if empty else {}
    return drawn(tanks, fits, marks_of(request, watched, today), today)


def plan_of_tanks(tanks: Iterable[Tank]) -> Plan:
    return plan_of(
        Standing(
            one.pk,
            one.stands_in,
            one.length_mm,
            one.width_mm,
            one.from_left_mm,
            one.from_back_mm,
            one.is_turned,
        )
        for one in tanks
    )


def drawn(
    tanks: Sequence[Tank],
    fits: Mapping[int, WaterFit],
    marks: Mapping[int, Sequence[Mark]],
    today: Date,
) -> House:
    """The house from what was read; no query."""
    plan = plan_of_tanks(tanks)
    by_key = {one.pk: one for one in tanks}
    largest = max((box.wide for room in plan.rooms for box in room.boxes), default=1.0)
    deepest = max((box.deep for room in plan.rooms for box in room.boxes), default=1.0)
    card = min(CARD_WIDE_PX / largest, CARD_HIGH_PX / deepest)
    rooms, number = [], 0
    for room in plan.rooms:
        pictures = []
        for box in sorted(room.boxes, key=lambda one: (round(one.top, -2), one.left)):
            number += 1
            tank = by_key[box.key]
            stays: list[Stay] = tank.present_stays  # type: ignore[attr-defined]
            pictures.append(
                TankPicture(
                    tank,
                    number,
                    box,
                    _place(box, room.wide, room.deep, plan.wide),
                    tuple(stays),
                    today,
                    plan.px_per_mm,
                    card,
                    any(stay.side for stay in stays),
                    fits[tank.pk],
                    tuple(marks.get(tank.pk, ())),
                )
            )
        rooms.append(
            RoomPicture(
                room.name,
                round(100 * room.wide / plan.wide, 2),
                (round(room.wide), round(room.deep)),
                tuple(pictures),
                tuple(_lines(pictures, room.wide, room.deep)),
            )
        )
    return House(
        tuple(rooms),
        round(100_000 / plan.wide, 3),
        any(one.from_left_mm is not None for one in tanks),
        any(not box.is_measured for room in plan.rooms for box in room.boxes),
    )


def _place(box: Box, wide: float, deep: float, plan_wide: float) -> str:
    """As the style of an element in its room."""
    left, width = (100 * one / wide for one in (box.left, box.wide))
    top, height = (100 * one / deep for one in (box.top, box.deep))
    return f"left:{left:.2f}%;top:{top:.2f}%;width:{width:.2f}%;height:{height:.2f}%"


def _sides(
    parts: Sequence[Part], box: Box, px_per_mm: float, *, is_on_plan: bool
) -> tuple[Side, ...]:
    """The whole tank, or both sides of its divider, with faces as large as there is room."""
    taken = NAME_INSIDE_PX if is_on_plan and not box.is_roomy else 0
    wide = box.wide * px_per_mm - INSIDE_PX
    high = box.deep * px_per_mm - INSIDE_PX - taken
    share = 1 / len(parts)
    part = (wide, high * share) if box.is_turned else (wide * share, high)
    return tuple(sized(side, figures, *part) for side, figures in parts)


def _parts(stays: Sequence[Stay]) -> list[tuple[str, list[Stay]]]:
    """All together while the divider is open; else both sides, and whose side nobody wrote down."""
    by_side: dict[str, list[Stay]] = {side: [] for side in SIDES}
    for stay in stays:
        by_side[stay.side].append(stay)
    if not by_side[Stay.Side.LEFT] and not by_side[Stay.Side.RIGHT]:
        return [("", by_side[""])]
    return [(side, some) for side, some in by_side.items() if side or some]


def _lines(
    pictures: Sequence[TankPicture], wide: float, deep: float
) -> Iterable[tuple[float, float, float, float]]:
    """From each tank to the next one with the same water, as they stand."""
    last: dict[int, Box] = {}
    for one in pictures:
        system = one.tank.system_id
        if system is None:
            continue
        if system in last:
            yield (*_middle(last[system], wide, deep), *_middle(one.box, wide, deep))
        last[system] = one.box


def _middle(box: Box, wide: float, deep: float) -> tuple[float, float]:
    across, down = box.left + box.wide / 2, box.top + box.deep / 2
    return round(100 * across / wide, 2), round(100 * down / deep, 2)
