"""The floor of a tank drawn to scale, with those in it as circles as wide as they are; pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from breeding.housing.room.reading import Room
from breeding.housing.room.said import side
from breeding.housing.space import Floor
from breeding.words.sizes import length

WIDE, MARGIN = 340.0, 6.0
TALLEST = 220.0
LABEL_FROM = 15.0  # radius in the drawing from which a name goes into its disc


@dataclass(frozen=True)
class Disc:
    """A circle of the drawing, in mm of the floor."""

    x: float
    y: float
    radius: float
    name: str


def floor_drawing(room: Room, *, unit: str) -> str:
    """An SVG of the floor, or nothing where it is not measured or nobody's width is known."""
    floor = room.floor
    if floor is None or not room.counted:
        return ""
    discs = laid_out(floor, [(one.width_mm, one.animal.name) for one in room.counted])
    lowest = max((disc.y + disc.radius for disc in discs), default=0.0)
    scale = min((WIDE - 2 * MARGIN) / floor.length, TALLEST / floor.front_to_back)
    high = max(lowest, floor.front_to_back) * scale + MARGIN + 24
    parts = [
        f'<rect class="room-floor" x="{MARGIN}" y="{MARGIN}" width="{floor.length * scale:.1f}" '
        f'height="{floor.front_to_back * scale:.1f}" rx="2"/>',
        *(_disc(disc, scale) for disc in discs),
        f'<text class="plot-label" x="{MARGIN}" y="{high - 6:.1f}">'
        f"{escape(side(floor.length, unit))} by {escape(side(floor.front_to_back, unit))}, "
        "to scale</text>",
    ]
    names = "; ".join(f"{one.animal.name} {length(one.width_mm, unit)}" for one in room.counted)
    told = f"The floor with those in it to scale: {names}."
    return (
        f'<svg class="plot room" viewBox="0 0 {WIDE:.0f} {high:.1f}" role="img" '
        f"aria-label={quoteattr(told)}>{''.join(parts)}</svg>"
    )


def laid_out(floor: Floor, animals: Sequence[tuple[float, str]]) -> list[Disc]:
    """Discs side by side in rows, the widest first; what finds no place on it lies below.

    Each with a gap of a tenth of its width. It shows sizes and not where they lie.

    >>> [(disc.x, disc.y) for disc in laid_out(Floor(1000, 500), [(400, "Mira"), (400, "Deneb")])]
    [(220.0, 220.0), (660.0, 220.0)]
    """
    discs = []
    x = y = deep = 0.0
    for width, name in animals:
        room = width + width / 10
        if x and x + room > floor.length:
            x, y, deep = 0.0, y + deep, 0.0
        discs.append(Disc(x + room / 2, y + room / 2, width / 2, name))
        x, deep = x + room, max(deep, room)
    return discs


def _disc(disc: Disc, scale: float) -> str:
    x, y = MARGIN + disc.x * scale, MARGIN + disc.y * scale
    radius = disc.radius * scale
    drawn = f'<circle class="room-disc" cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}"/>'
    if radius < LABEL_FROM:
        return drawn
    shown = (
        disc.name if len(disc.name) * 6.5 <= 2 * radius else disc.name[: int(radius / 3.6)] + "…"
    )
    place = f'x="{x:.1f}" y="{y + 4:.1f}"'
    return f'{drawn}<text class="plot-value plot-mid" {place}>{escape(shown)}</text>'
