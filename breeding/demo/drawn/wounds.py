"""Drawn marks on the demonstration's animals: a portrait, nearer, with bites at its disc's edge."""

import math
from io import BytesIO
from random import Random

from PIL import Image, ImageDraw, ImageFont

_CENTRE, _RADIUS = (0.5, 0.405), 0.318  # of the disc in a portrait, as shares of its side
_RAW, _DEEP, _HEALED, _SAND = (186, 58, 48), (104, 20, 22), (214, 168, 152), (205, 190, 160)
# Severity: how many bites, how long each is as a share of the disc's radius, how many tears.
_BITES = {0: (0, 0.0, 0), 1: (2, 0.12, 0), 2: (4, 0.17, 0), 3: (6, 0.21, 1), 4: (8, 0.26, 3)}
_FINER = 4  # drawn larger than the portrait, then made small: smooth edges
_SHOWN = (0.1, 0.08, 0.62, 0.73)  # the left half of the disc
_WIDTH_PX = 480


def draw_marks(portrait: bytes, *, severity: int, seed: str, healing: bool = False) -> bytes:
    """The left edge of an animal as a JPEG, with marks of a severity from 0 to 4.

    The same seed has its first marks in the same places, so that looks can be compared.
    """
    if severity not in _BITES:
        raise ValueError(f"{severity!r} is no severity: allowed is from 0 to 4.")
    whole = Image.open(BytesIO(portrait)).convert("RGB")
    side = whole.width * _FINER
    picture = whole.resize((side, side), Image.Resampling.LANCZOS)
    paint = ImageDraw.Draw(picture)
    chance = Random(f"bites of {seed}")  # noqa: S311 - a drawing, not a secret
    number, length, tears = _BITES[severity]
    turns = [242 + 9 * place + chance.uniform(-3, 3) for place in (3, 1, 5, 0, 4, 2, 6, 7)]
    for place, turn in enumerate(turns[:number]):
        if place < tears:
            _tear(paint, side, turn, length)
        _bite(paint, side, turn, length, healing=healing, is_deep=severity >= 3)
    left, top, right, bottom = (round(part * side) for part in _SHOWN)
    height = round(_WIDTH_PX * (bottom - top) / (right - left))
    near = picture.crop((left, top, right, bottom)).resize(
        (_WIDTH_PX, height), Image.Resampling.LANCZOS
    )
    ImageDraw.Draw(near).text(
        (_WIDTH_PX - 12, height - 10),
        "drawing",
        fill=(96, 82, 58),
        font=ImageFont.load_default(16),
        anchor="rs",
    )
    out = BytesIO()
    near.save(out, "JPEG", quality=75, optimize=True)
    return out.getvalue()


def _at(side: int, turn_degrees: float, out: float) -> tuple[float, float]:
    """A point of the disc: degrees from the nose clockwise, and how far out (1: the edge)."""
    turn = math.radians(turn_degrees)
    x, y = out * math.sin(turn), -out * math.cos(turn)
    return (_CENTRE[0] + x * _RADIUS) * side, (_CENTRE[1] + y * _RADIUS) * side


def _bite(
    paint: ImageDraw.ImageDraw,
    side: int,
    turn: float,
    length: float,
    *,
    healing: bool,
    is_deep: bool,
) -> None:
    """Two rows of short strokes across the edge, as small teeth leave them."""
    colour = _HEALED if healing else _RAW
    wide = max(2, round(side * (0.0028 if healing else 0.005)))
    for row in (-2.2, 2.2):
        for step in range(4):
            inner = 0.95 - length + step * length / 4
            start, end = _at(side, turn + row, inner), _at(side, turn + row * 0.8, inner + 0.03)
            paint.line([start, end], fill=colour, width=wide)
            if is_deep and not healing:
                paint.line([start, end], fill=_DEEP, width=max(1, wide // 2))


def _tear(paint: ImageDraw.ImageDraw, side: int, turn: float, length: float) -> None:
    """A piece gone from the edge, raw along its rim."""
    rim = [(-5.5, 1.05), (-3.5, 0.93), (-1, 0.96 - length / 2), (1.5, 0.94 - length / 3), (5, 1.05)]
    points = [_at(side, turn + by, out) for by, out in rim]
    paint.polygon(points, fill=_SAND)
    paint.line(points, fill=_RAW, width=max(2, round(side * 0.012)), joint="curve")
    paint.line(points, fill=_DEEP, width=max(1, round(side * 0.004)), joint="curve")
