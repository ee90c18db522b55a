"""A tank as a picture: its floor to scale, and those in it as wide as they are; writes nothing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from breeding.animals.growth.ahead import latest_widths
from breeding.animals.models import Animal
from breeding.housing.house.figures import frame_of
from breeding.housing.house.plan import UNMEASURED_MM
from breeding.housing.models import Stay
from breeding.housing.room.drawing import Disc as Laid
from breeding.housing.room.drawing import laid_out
from breeding.housing.room.reading import Room
from breeding.housing.space import Floor

SHOWN_PX = 340  # on a phone; names below discs that are narrower there would run together
NAMED_FROM_PX = 34
GUESSED_MM = 300  # how an animal is drawn, dashed, whose width nobody knows, nor that of another


@dataclass(frozen=True)
class Disc:
    """One animal in the picture, placed in hundredths of it."""

    animal: Animal
    frame: str
    place: str
    is_named: bool
    is_known: bool


@dataclass(frozen=True)
class TankDrawing:
    """The picture of one tank. floor: how much of its height is floor, the rest lies outside."""

    shape: tuple[int, int]
    floor: float
    discs: tuple[Disc, ...]
    is_measured: bool
    is_divided: bool
    can_divide: bool

    @property
    def lie_outside(self) -> bool:
        return self.floor < 100

    @property
    def is_long(self) -> bool:
        """Too long for words beside it."""
        return self.shape[0] > 2.4 * self.shape[1]

    @property
    def has_unknown(self) -> bool:
        return any(not disc.is_known for disc in self.discs)


def tank_drawing(room: Room, stays: Sequence[Stay]) -> TankDrawing:
    """The floor of a tank with those in it now; one query where somebody's room is not reckoned."""
    floor = room.floor or Floor(*UNMEASURED_MM)
    widths = _widths(room, stays)
    parts = _parts(stays)
    part = Floor(floor.length / len(parts), floor.front_to_back)
    placed = [
        (stay, mm, number * part.one_side, disc)
        for number, some in enumerate(parts)
        for stay, mm, disc in _laid(some, widths, part)
    ]
    lowest = max((disc.y + disc.radius for *_, disc in placed), default=0.0)
    deep = max(lowest, floor.front_to_back)
    px_per_mm = SHOWN_PX / floor.length
    discs = [
        Disc(
            stay.animal,
            frame_of(stay.animal),
            _style(left + disc.x, disc.y, disc.radius, floor.length, deep),
            2 * disc.radius * px_per_mm >= NAMED_FROM_PX,
            mm is not None,
        )
        for stay, mm, left, disc in placed
    ]
    return TankDrawing(
        (round(floor.length), round(deep)),
        round(100 * floor.front_to_back / deep, 2),
        tuple(discs),
        room.floor is not None,
        len(parts) > 1,
        room.tank.can_divide,
    )


def _widths(room: Room, stays: Sequence[Stay]) -> dict[int, float]:
    """As the room reckons them; of others as they were measured last."""
    found = {one.animal.pk: one.width_mm for one in room.counted}
    others = [stay.animal_id for stay in stays if stay.animal_id not in found]
    if others:
        found |= {key: float(mm) for key, (_, mm) in latest_widths(others).items()}
    return found


def _parts(stays: Sequence[Stay]) -> list[list[Stay]]:
    """All together, or those left and right of the closed divider.

    One whose side nobody wrote down is drawn on the left; the words say that it is not known.
    """
    if not any(stay.side for stay in stays):
        return [list(stays)]
    right = [stay for stay in stays if stay.side == Stay.Side.RIGHT]
    return [[stay for stay in stays if stay.side != Stay.Side.RIGHT], right]


def _laid(
    stays: Sequence[Stay], widths: Mapping[int, float], part: Floor
) -> list[tuple[Stay, float | None, Laid]]:
    known = sorted(widths.get(stay.animal_id, 0.0) for stay in stays if stay.animal_id in widths)
    guessed = known[len(known) // 2] if known else float(GUESSED_MM)
    drawn = sorted(
        ((widths.get(stay.animal_id, guessed), stay) for stay in stays),
        key=lambda one: (-one[0], one[1].animal.name),
    )
    discs = spread(laid_out(part, [(mm, stay.animal.name) for mm, stay in drawn]), part)
    return [
        (stay, widths.get(stay.animal_id), disc)
        for (_, stay), disc in zip(drawn, discs, strict=True)
    ]


def spread(discs: Sequence[Laid], floor: Floor) -> list[Laid]:
    """The same rows, with the free floor between and around the discs alike.

    >>> [(disc.x, disc.y) for disc in spread([Laid(220, 220, 200, "Mira")], Floor(1000, 500))]
    [(500.0, 250.0)]
    >>> floor = Floor(4000, 1800)
    >>> [disc.y for disc in spread(laid_out(floor, [(536, "Nunki"), (431, "Mizar")]), floor)]
    [900.0, 900.0]
    """
    rows: dict[int, list[Laid]] = {}  # by the mm they begin at: halves of widths are no exact sums
    for disc in discs:
        rows.setdefault(round(disc.y - 1.1 * disc.radius), []).append(disc)
    heights = [2 * max(disc.radius for disc in row) for row in rows.values()]
    gap_down = (floor.front_to_back - sum(heights)) / (len(rows) + 1)
    if gap_down < 0:  # more than there is floor: they stay as they are laid
        return list(discs)
    found, top = [], gap_down
    for row, height in zip(rows.values(), heights, strict=True):
        gap = (floor.one_side - sum(2 * disc.radius for disc in row)) / (len(row) + 1)
        left = gap
        for disc in row:
            found.append(replace(disc, x=left + disc.radius, y=top + height / 2))
            left += 2 * disc.radius + gap
        top += height + gap_down
    return found


def _style(x: float, y: float, radius: float, wide: float, deep: float) -> str:
    left, width = 100 * (x - radius) / wide, 200 * radius / wide
    return f"left:{left:.2f}%;top:{100 * (y - radius) / deep:.2f}%;width:{width:.2f}%"
