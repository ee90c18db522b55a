"""Portraits for the demonstration: rays drawn from above, whose spots run in families."""

import json
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from io import BytesIO
from random import Random
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from breeding.program.reference.fixture_files import fixture_path

PATTERNS = ("spots", "rings", "rosettes", "bands")
SEXES = ("female", "male", "unknown")

_FINER = 4  # drawn four times as large, then made small: smooth edges
_SAND = (222, 208, 178)
_CENTRE = (0.5, 0.405)  # of the disc, as shares of the side
_RADIUS = 0.318

Colour = tuple[float, float, float]
Points = NDArray[np.complex128]  # x + y i


@dataclass(frozen=True)
class Looks:
    """What an animal looks like, and what of it can be passed on.

    Colours are red, green, blue from 0 to 255. `spot_size` is the mean radius of a spot as a
    share of the disc's. `patterns` are the shares of PATTERNS among the spots. `pale_alleles`
    counts the copies (0 to 2) of an invented recessive factor: two make a pale animal.
    `own` sets where its spots lie, which no two animals share.
    """

    disc: Colour
    spot: Colour
    ring: Colour
    spot_count: float
    spot_size: float
    edge_row: float
    patterns: tuple[float, float, float, float]
    pale_alleles: int
    own: str

    @property
    def is_pale(self) -> bool:
        return self.pale_alleles == 2


def founder_looks(species_key: str, seed: int | str, *, pale: bool = False) -> Looks:
    """The looks of an animal without known parents: its species' palette, varied a little.

    A species without a palette of its own gets the general one. The same key and seed always
    give the same looks.
    """
    palettes = _palettes()
    kind = palettes["species"].get(species_key, palettes["any"])
    chance = Random(f"founder {species_key} {seed}")  # noqa: S311 - a drawing, not a secret
    shares = [kind["patterns"][name] * chance.uniform(0.7, 1.3) for name in PATTERNS]
    return Looks(
        disc=_varied(kind["disc"], 9, chance),
        spot=_varied(kind["spot"], 10, chance),
        ring=_varied(kind["ring"], 5, chance),
        spot_count=kind["spot_count"] * chance.uniform(0.8, 1.2),
        spot_size=kind["spot_size"] * chance.uniform(0.88, 1.14),
        edge_row=_between(0, kind["edge_row"] + chance.uniform(-0.15, 0.15), 1),
        patterns=_summing_to_one(shares),
        pale_alleles=2 if pale else 0,
        own=f"founder {species_key} {seed}",
    )


def inherit(sire: Looks, dam: Looks, seed: int | str) -> Looks:
    """The looks of a pup: between its parents', nearer to one or the other feature by feature.

    The pale factor follows Mendel: one copy drawn from each parent. Where the spots lie is the
    pup's own.
    """
    chance = Random(f"pup {seed} {sire.own} {dam.own}")  # noqa: S311 - a drawing, not a secret

    def mixed(a: float, b: float) -> float:
        nearer = _between(0, chance.gauss(0.5, 0.18), 1)
        return a * nearer + b * (1 - nearer)

    def mixed_colour(a: Colour, b: Colour) -> Colour:
        nearer = _between(0, chance.gauss(0.5, 0.18), 1)
        return _varied(
            [x * nearer + y * (1 - nearer) for x, y in zip(a, b, strict=True)], 5, chance
        )

    shares = [mixed(a, b) for a, b in zip(sire.patterns, dam.patterns, strict=True)]
    return Looks(
        disc=mixed_colour(sire.disc, dam.disc),
        spot=mixed_colour(sire.spot, dam.spot),
        ring=mixed_colour(sire.ring, dam.ring),
        spot_count=mixed(sire.spot_count, dam.spot_count) * chance.uniform(0.92, 1.08),
        spot_size=mixed(sire.spot_size, dam.spot_size) * chance.uniform(0.95, 1.05),
        edge_row=mixed(sire.edge_row, dam.edge_row),
        patterns=_summing_to_one(shares),
        pale_alleles=sum(chance.random() < parent.pale_alleles / 2 for parent in (sire, dam)),
        own=f"pup {seed} {chance.random()}",
    )


def draw(looks: Looks, *, sex: str, side_px: int = 480) -> bytes:
    """The animal from above on sand as a JPEG of `side_px` each way, marked as a drawing.

    `sex` is one of SEXES: a male carries claspers. The same looks give the same bytes.
    """
    if sex not in SEXES:
        raise ValueError(f"{sex!r} is no sex: only {', '.join(SEXES)}.")
    if not 64 <= side_px <= 1200:
        raise ValueError(f"A drawing is 64 to 1200 pixels a side, not {side_px}.")
    chance = Random(f"drawing {looks.own}")  # noqa: S311 - a drawing, not a secret
    body = _body(looks, sex, side_px, chance)
    share = body[..., 3:] / np.float32(255)
    lit = body[..., :3] * (_light(side_px) * _mottling(side_px, chance))[..., None]
    ground = _ground(side_px) * (1 - np.float32(0.42) * _shadow(share[..., 0]))[..., None]
    ground += share * (lit - ground)
    picture = Image.fromarray(np.clip(ground, 0, 255, out=ground).astype(np.uint8))
    _mark_as_drawing(picture)
    out = BytesIO()
    picture.save(out, "JPEG", quality=75, optimize=True)
    return out.getvalue()


# -------------------------------------------------------------------------------- the animal


def _body(looks: Looks, sex: str, side_px: int, chance: Random) -> NDArray[np.float32]:
    """Red, green, blue without light or shade and, fourth, how far each pixel is covered (255)."""
    disc, spot, ring = _worn_colours(looks)
    side = side_px * _FINER
    # RGBX: the fourth band is made small like the others, where RGBA would be weighed by it.
    canvas = Image.new("RGBX", (side, side), (*_rgb(disc), 0))
    paint = ImageDraw.Draw(canvas)

    def shape(points: Points, colour: Colour) -> None:
        placed = points * (_RADIUS * side) + complex(_CENTRE[0] * side, _CENTRE[1] * side)
        paint.polygon(placed.view(np.float64).tolist(), fill=(*_rgb(colour), 255))

    bend = chance.uniform(-0.5, 0.5)
    for way in (-1, 1):
        shape(_ellipse(way * 0.17, 0.97, 0.2, 0.17), _mix(disc, ring, 0.3))
        if sex == "male":
            shape(_ellipse(way * 0.115, 1.2, 0.05, 0.17), _mix(disc, ring, 0.15))
    shape(_tail(bend), _mix(disc, ring, 0.35))
    for along in np.arange(0.2, 0.92, 0.105):
        shape(_tail_patch(bend, float(along)), _mix(spot, disc, 0.25 + 0.3 * float(along)))
    shape(_spine(bend), (235, 224, 196))

    shape(_disc(1.0), _mix(disc, ring, 0.55))
    shape(_disc(0.985), _mix(disc, spot, 0.22))
    shape(_disc(0.955), disc)
    for x, y, size in _places(looks, chance):
        for points, part in _marking(x, y, size, looks, chance):
            shape(points, {"spot": spot, "ring": ring, "disc": disc}[part])
    for way in (-1, 1):
        _draw_eye(shape, way, disc, ring)
    return np.asarray(canvas.reduce(_FINER), np.float32)


def _worn_colours(looks: Looks) -> tuple[Colour, Colour, Colour]:
    if not looks.is_pale:
        return looks.disc, looks.spot, looks.ring
    pale = _palettes()["pale"]
    return (  # the family still shows through a pale coat
        _mix(tuple(pale["disc"]), looks.disc, 0.07),
        _mix(tuple(pale["spot"]), looks.spot, 0.18),
        _mix(tuple(pale["ring"]), looks.ring, 0.1),
    )


def _places(looks: Looks, chance: Random) -> list[tuple[float, float, float]]:
    """Where the spots lie and how large they are: x, y and radius in discs' radii.

    Spread evenly at random, smaller to the edge. Not mirrored: two equal halves look like a face.
    """
    eyes = [(way * 0.21, -0.38, 0.16) for way in (-1, 1)]
    taken = np.full(len(eyes) + round(looks.spot_count), 9 + 0j)
    sizes = np.zeros(len(taken))
    taken[: len(eyes)], sizes[: len(eyes)] = [complex(x, y) for x, y, _ in eyes], 0.16
    places: list[tuple[float, float, float]] = []
    for _ in range(round(looks.spot_count * 7)):
        if len(places) >= round(looks.spot_count):
            break
        out, turn = 0.87 * math.sqrt(chance.random()), chance.uniform(0, math.tau)
        x, y = out * math.sin(turn), -out * math.cos(turn)
        size = looks.spot_size * (1.3 - 0.8 * out**2) * chance.uniform(0.65, 1.25)
        gap = (np.abs(taken - complex(x, y)) - sizes).min() - size
        if gap >= 0.55 * looks.spot_size:
            at = len(eyes) + len(places)
            taken[at], sizes[at] = complex(x, y), size
            places.append((x, y, size))
    return [*places, *_edge_row(looks, chance)]


def _edge_row(looks: Looks, chance: Random) -> list[tuple[float, float, float]]:
    row = []
    number = 34
    for step in range(number):
        turn = math.tau * (step + chance.uniform(0.3, 0.7)) / number
        if chance.random() < looks.edge_row and abs(turn - math.pi) > 0.25:
            row.append(
                (0.915 * math.sin(turn), -0.915 * math.cos(turn), chance.uniform(0.014, 0.024))
            )
    return row


def _marking(
    x: float, y: float, size: float, looks: Looks, chance: Random
) -> list[tuple[Points, str]]:
    """One marking as outlines with the colour each takes, from the lowest to the topmost."""
    if size < 0.028:
        return [(_spot(x, y, size), "spot")]
    (pattern,) = chance.choices(PATTERNS, looks.patterns)
    if pattern == "rings":
        return [
            (_spot(x, y, size * 1.42), "ring"),
            (_spot(x, y, size), "spot"),
            (_spot(x, y, size * 0.42), "ring"),
        ]
    if pattern == "rosettes":
        petals, turn = chance.randint(5, 6), chance.uniform(0, math.tau)
        angles = [turn + math.tau * petal / petals for petal in range(petals)]
        return [
            (_spot(x, y, size * 1.15), "ring"),
            *(
                (
                    _spot(
                        x + size * 0.78 * math.cos(a), y + size * 0.78 * math.sin(a), size * 0.36
                    ),
                    "spot",
                )
                for a in angles
            ),
            (_spot(x, y, size * 0.26), "spot"),
        ]
    if pattern == "bands":
        turn = chance.uniform(-0.6, 0.6)
        return [(_band(x, y, size * 1.3, turn), "ring"), (_band(x, y, size, turn), "spot")]
    return [(_spot(x, y, size * 1.2), "ring"), (_spot(x, y, size), "spot")]


def _draw_eye(
    shape: Callable[[Points, Colour], None], way: int, disc: Colour, ring: Colour
) -> None:
    x, y = way * 0.205, -0.4
    shape(
        _ellipse(x + way * 0.012, y + 0.115, 0.075, 0.05), _mix(ring, (0, 0, 0), 0.35)
    )  # spiracle
    shape(_ellipse(x, y, 0.088, 0.1), _mix(ring, (0, 0, 0), 0.2))
    shape(_ellipse(x, y - 0.004, 0.077, 0.088), _mix(disc, (255, 255, 255), 0.16))
    shape(_ellipse(x + way * 0.022, y - 0.006, 0.043, 0.052), (196, 160, 84))
    shape(_ellipse(x + way * 0.025, y - 0.006, 0.033, 0.042), (14, 13, 13))
    shape(_ellipse(x + way * 0.025 - 0.012, y - 0.022, 0.011, 0.011), (250, 248, 240))


# ----------------------------------------------------------------------------------- outlines
# Points x + y i in discs' radii around the disc's middle, nose up, y downwards.


@lru_cache(maxsize=8)
def _disc(scale: float) -> Points:
    turn = np.linspace(0, math.tau, 220, endpoint=False)
    nose = 0.05 * np.exp(-((np.minimum(turn, math.tau - turn) / 0.2) ** 2))
    shoulder = 0.03 * np.cos(2 * turn) - 0.012 * np.cos(3 * turn)
    out = scale * (1 + nose - shoulder)
    return _points(1.02 * out * np.sin(turn), -out * np.cos(turn))


@cache
def _circle(corners: int = 28) -> Points:
    turn = np.linspace(0, math.tau, corners, endpoint=False)
    return _points(np.cos(turn), np.sin(turn))


def _ellipse(x: float, y: float, wide: float, high: float) -> Points:
    circle = _circle()
    return _points(x + circle.real * wide, y + circle.imag * high)


def _spot(x: float, y: float, size: float) -> Points:
    """A round spot on a domed back: seen flatter the nearer it lies to the edge."""
    out = math.hypot(x, y)
    outwards = complex(x, y) / out if out > 1e-9 else 1
    spot: Points = _flattened_circle(round(20 * 0.35 * out**3)) * (size * outwards)
    spot += complex(x, y)
    return spot


@cache
def _flattened_circle(twentieths: int) -> Points:
    circle = _circle()
    return _points(circle.real * (1 - twentieths / 20), circle.imag)


def _band(x: float, y: float, size: float, turn: float) -> Points:
    """A short crooked stripe lying around the disc."""
    angle = math.atan2(y, x) + math.pi / 2 + turn
    stripe: Points = _straight_band() * (size * complex(math.cos(angle), math.sin(angle)))
    stripe += complex(x, y)
    return stripe


@cache
def _straight_band() -> Points:
    along = np.linspace(-1, 1, 13)
    middle, half = 0.5 * np.sin(along * 2.6), 0.42 * np.sqrt(1.04 - along**2)
    x = np.concatenate([along, along[::-1]]) * 2.1
    return _points(x, np.concatenate([middle + half, (middle - half)[::-1]]))


def _tail_line(bend: float, along: NDArray[np.float64]) -> tuple[Points, Points]:
    """Middle points of the tail, and from each the way to its left edge."""
    length = 1.1
    middle = _points(
        bend * 0.75 * along**2.2 * length, 0.72 + along * length - 0.12 * abs(bend) * along**2
    )
    slope = np.gradient(middle)
    half = 0.125 * (1 - along) ** 1.25 + 0.009
    return middle, 1j * slope / np.abs(slope) * half


def _tail(bend: float) -> Points:
    middle, side = _tail_line(bend, np.linspace(0, 1, 40))
    return np.concatenate([middle + side, (middle - side)[::-1]])


def _tail_patch(bend: float, along: float) -> Points:
    middle, side = _tail_line(bend, np.linspace(along, along + 0.04, 6))
    return np.concatenate([middle + 0.72 * side, (middle - 0.72 * side)[::-1]])


def _spine(bend: float) -> Points:
    middle, side = _tail_line(bend, np.linspace(0.5, 0.76, 8))
    half = np.array([0.004, 0.014, 0.016, 0.016, 0.014, 0.012, 0.008, 0.001])
    side = side / np.abs(side) * half
    return np.concatenate([middle + side, (middle - side)[::-1]])


def _points(x: NDArray[np.float64], y: NDArray[np.float64]) -> Points:
    return np.asarray(x + 1j * y, np.complex128)


# --------------------------------------------------------------------------- light and ground


def _grid(side_px: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    steps = (np.arange(side_px) + 0.5) / side_px
    x, y = np.meshgrid((steps - _CENTRE[0]) / _RADIUS, (steps - _CENTRE[1]) / _RADIUS)
    return x, y


@lru_cache(maxsize=4)
def _light(side_px: int) -> NDArray[np.float32]:
    """Light from the upper left on a low dome with a ridge down its middle."""
    x, y = _grid(side_px)
    out = np.sqrt(x**2 + y**2)
    slope = np.clip(out, 0, 1.1) ** 2.2
    facing = -(x * 0.5 + y * 0.75) / np.maximum(out, 0.05)
    ridge = np.exp(-((x / 0.28) ** 2)) * np.clip(1 - (np.abs(y) / 1.0) ** 2, 0, 1)
    gleam = np.exp(-(((x + 0.3) / 0.5) ** 2) - ((y + 0.25) / 0.45) ** 2)
    light = 0.97 + 0.13 * slope * facing - 0.12 * slope + 0.08 * ridge + 0.12 * gleam
    return np.asarray(light, np.float32)


def _mottling(side_px: int, chance: Random) -> NDArray[np.float32]:
    rough = np.array([[chance.random() for _ in range(12)] for _ in range(12)], np.float32)
    smooth = Image.fromarray(rough).resize((side_px, side_px), Image.Resampling.BICUBIC)
    return np.asarray(smooth, np.float32) * np.float32(0.14) + np.float32(0.93)


@lru_cache(maxsize=4)
def _ground(side_px: int) -> NDArray[np.float32]:
    """Sand with faint ripples, darker to the corners."""
    x, y = _grid(side_px)
    ripples = np.sin(7 * y + 1.4 * np.sin(1.9 * x + 0.6) + 0.8 * x)
    away = np.clip(np.sqrt(x**2 + (y - 0.2) ** 2) - 0.9, 0, None)
    level = 1.03 + 0.012 * ripples - 0.055 * away
    return np.asarray(level[..., None] * np.array(_SAND), np.float32)


def _shadow(share: NDArray[np.float32]) -> NDArray[np.float32]:
    """Soft, to the lower right; from 0 to 1."""
    side = len(share)
    small = Image.fromarray((share[::4, ::4] * 255).astype(np.uint8))
    moved = Image.new("L", small.size, 0)
    moved.paste(small, (max(1, side // 130), max(1, side // 65)))
    soft = moved.filter(ImageFilter.GaussianBlur(side / 160))
    large = soft.resize((side, side), Image.Resampling.BILINEAR)
    return np.asarray(large, np.float32) / np.float32(255)


def _mark_as_drawing(picture: Image.Image) -> None:
    size = max(9, round(picture.width * 0.034))
    place = (picture.width - size * 0.8, picture.height - size * 0.7)
    ImageDraw.Draw(picture).text(place, "drawing", fill=(96, 82, 58), font=_font(size), anchor="rs")


@lru_cache(maxsize=4)
def _font(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(size)


# ------------------------------------------------------------------------------------ colours


@cache
def _palettes() -> dict[str, Any]:
    palettes: dict[str, Any] = json.loads(fixture_path("demo/looks.json").read_text("utf-8"))
    return palettes


def _varied(colour: Sequence[float], by: float, chance: Random) -> Colour:
    lighter = chance.uniform(-by, by)
    red, green, blue = (
        _between(0, part + lighter + chance.uniform(-by, by) / 2, 255) for part in colour
    )
    return red, green, blue


def _mix(a: Colour, b: Colour, share_of_b: float) -> Colour:
    red, green, blue = (x * (1 - share_of_b) + y * share_of_b for x, y in zip(a, b, strict=True))
    return red, green, blue


def _rgb(colour: Colour) -> tuple[int, int, int]:
    red, green, blue = (round(part) for part in colour)
    return red, green, blue


def _summing_to_one(shares: Sequence[float]) -> tuple[float, float, float, float]:
    whole = sum(shares)
    spots, rings, rosettes, bands = (share / whole for share in shares)
    return spots, rings, rosettes, bands


def _between(lowest: float, value: float, highest: float) -> float:
    return min(max(value, lowest), highest)
