"""The floor plan: where each tank is drawn, in its keeper's arrangement or in rows; pure.

All lengths are in mm, seen from above, from the upper left corner of a room.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

UNMEASURED_MM = (1500, 750)  # how a tank that nobody measured is drawn, dashed
DESK_PX = 1180  # the width of the drawing on a desk, in which words keep their size
NARROWEST_MM, WIDEST_ROW_MM = 7_000, 15_000
ABOVE_PX, BELOW_PX, BESIDE_PX = 26, 62, 22  # the words of a tank: its name, and what is due
EDGE_PX = 16


@dataclass(frozen=True)
class Standing:
    """A tank as far as its place is told. long, deep: None where nobody measured it."""

    key: int
    room: str
    long: int | None
    deep: int | None
    from_left: int | None = None
    from_back: int | None = None
    is_turned: bool = False


@dataclass(frozen=True)
class Box:
    """A tank on the plan. is_placed: by its keeper. is_roomy: whether its words fit around it."""

    key: int
    left: float
    top: float
    wide: float
    deep: float
    is_measured: bool
    is_placed: bool
    is_turned: bool
    is_roomy: bool = True

    @property
    def right(self) -> float:
        return self.left + self.wide

    @property
    def bottom(self) -> float:
        return self.top + self.deep


@dataclass(frozen=True)
class Room:
    """A room of the building with its tanks, and how large it has to be for them."""

    name: str
    boxes: tuple[Box, ...]
    wide: float
    deep: float


@dataclass(frozen=True)
class Plan:
    """All rooms to one scale; wide: of the widest, which takes the width of the drawing."""

    rooms: tuple[Room, ...]
    wide: float

    @property
    def px_per_mm(self) -> float:
        return DESK_PX / self.wide


def plan_of(tanks: Iterable[Standing]) -> Plan:
    """Tanks that were given a place stand there; the others follow in rows, in their order.

    >>> plan = plan_of([Standing(1, "", 2000, 1000, 500, 400), Standing(2, "", 2000, 1000)])
    >>> [(box.key, round(box.left), box.is_placed) for box in plan.rooms[0].boxes]
    [(1, 598, True), (2, 98, False)]
    """
    by_room: dict[str, list[Standing]] = {}
    for tank in tanks:
        by_room.setdefault(tank.room, []).append(tank)
    wide = max((_width_of(some) for some in by_room.values()), default=float(NARROWEST_MM))
    mm_per_px = wide / DESK_PX
    rooms = [_room(name, by_room[name], wide, mm_per_px) for name in sorted(by_room)]
    return Plan(tuple(rooms), max((room.wide for room in rooms), default=wide))


def _sides(tank: Standing) -> tuple[float, float]:
    """From left to right, and from back to front."""
    long, deep = tank.long or UNMEASURED_MM[0], tank.deep or UNMEASURED_MM[1]
    return (deep, long) if tank.is_turned else (long, deep)


def _width_of(tanks: Sequence[Standing]) -> float:
    """How wide the room is drawn: as wide as its placed tanks, or as a good row of the others."""
    placed = [one.from_left + _sides(one)[0] for one in tanks if one.from_left is not None]
    free = [_sides(one)[0] for one in tanks if one.from_left is None]
    row = min(sum(free) * 1.1, WIDEST_ROW_MM) if free else 0
    needed = max((*placed, *free, row, NARROWEST_MM))
    return needed / (1 - 2 * EDGE_PX / DESK_PX)


def _room(name: str, tanks: Sequence[Standing], wide: float, mm_per_px: float) -> Room:
    placed = [_placed(one) for one in tanks if one.from_left is not None]
    edge, above = EDGE_PX * mm_per_px, (EDGE_PX + ABOVE_PX) * mm_per_px
    top = max((box.bottom for box in placed), default=0.0)
    top += (BELOW_PX + ABOVE_PX) * mm_per_px if placed else above
    free = _rows([one for one in tanks if one.from_left is None], wide, top, mm_per_px)
    boxes = [replace(box, is_roomy=_is_roomy(box, placed, mm_per_px)) for box in placed]
    if boxes:  # measured from the wall; the words of the first row need their place too
        shift = max(0.0, above - min(box.top for box in boxes))
        boxes = [replace(box, top=box.top + shift, left=box.left + edge) for box in boxes]
        free = [replace(box, top=box.top + shift) for box in free]
    every = [*boxes, *free]
    right = max(box.right for box in every) + edge
    deep = max(box.bottom for box in every) + BELOW_PX * mm_per_px
    return Room(name, tuple(every), min(max(right, wide / 3), wide), deep)


def _placed(tank: Standing) -> Box:
    wide, deep = _sides(tank)
    left, top = float(tank.from_left or 0), float(tank.from_back or 0)
    return Box(tank.key, left, top, wide, deep, _is_measured(tank), True, tank.is_turned)


def _is_measured(tank: Standing) -> bool:
    return bool(tank.long and tank.deep)


def _rows(tanks: Sequence[Standing], wide: float, top: float, mm_per_px: float) -> list[Box]:
    """Side by side, a new row where the next finds no place; room for words between them."""
    edge, beside = EDGE_PX * mm_per_px, BESIDE_PX * mm_per_px
    between = (ABOVE_PX + BELOW_PX) * mm_per_px
    found: list[Box] = []
    left, deepest = edge, 0.0
    for tank in tanks:
        long, deep = _sides(tank)
        if left > edge and left + long > wide - edge:
            left, top, deepest = edge, top + deepest + between, 0.0
        found.append(
            Box(tank.key, left, top, long, deep, _is_measured(tank), False, tank.is_turned)
        )
        left, deepest = left + long + beside, max(deepest, deep)
    return found


def _is_roomy(box: Box, others: Sequence[Box], mm_per_px: float) -> bool:
    """Whether no other stands where the words above and below it go."""
    above, below = box.top - ABOVE_PX * mm_per_px, box.bottom + BELOW_PX * mm_per_px
    return not any(
        other.key != box.key
        and other.left < box.right
        and other.right > box.left
        and other.bottom + (BELOW_PX * mm_per_px if other.bottom <= box.top else 0) > above
        and other.top - (ABOVE_PX * mm_per_px if other.top >= box.bottom else 0) < below
        for other in others
    )
