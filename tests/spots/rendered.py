"""Invented rays painted as pictures, with all that stands between a pattern and its picture.

Nothing here is taken from the finder or the matching: a pattern is drawn in the disc's frame,
grown, and seen through a tilted camera, moving water, light and blur, and tapped by a hand that
errs. All lengths are in half widths of the disc unless a name says otherwise. All figures are
invented.
"""

import io
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

Floats = NDArray[np.float64]

TEXTURE = 420  # pixels of the painted skin, over ±EDGE
EDGE = 1.3
CORNERS = np.array([[0, -1], [-1, 0], [1, 0], [0, 1.0]])


@dataclass(frozen=True)
class Animal:
    """A pattern: spots (n, 3), how it is drawn, and the seed of what is the animal's for life."""

    spots: Floats
    kind: str  # "light", "dark", "rings", "eyes" (dark rings with a light middle), "rosettes"
    ground: float  # grey of the skin, 0 to 255
    contrast: float  # how far the spots stand off it, a share of what there is
    mottled: float
    seed: int


@dataclass(frozen=True)
class View:
    """What stands between animal and picture; 0 is none of it. Most say the largest drawn."""

    turned_degrees: float = 180
    tilt_degrees: float = 20
    ripple: float = 0.04
    taps: float = 0.02
    glare: int = 2
    shade: float = 0.4
    blur: float = 0.012
    noise: float = 6
    missing: float = 0.08
    dim: float = 0  # share of the contrast that haze takes
    # kinds that nothing was fitted to
    hard_shadow: float = 0
    caustics: float = 0
    motion: float = 0
    jpeg: int = 0
    sand: float = 0  # share of the disc that sand covers
    bites: int = 0
    fold: float = 0


@dataclass(frozen=True)
class Picture:
    """An image, its taps, and where each spot truly lies in the frame of exact taps."""

    image: NDArray[np.uint8]
    points: Floats
    spots: Floats


def outline(angle: Floats) -> Floats:
    """How far the rim is from the middle, at an angle."""
    return 1 + 0.03 * np.cos(4 * angle)


def inside(places: Floats, margin: float = 0) -> NDArray[np.bool_]:
    radius = np.hypot(places[..., 0], places[..., 1])
    return radius < outline(np.arctan2(places[..., 1], places[..., 0])) - margin


def invented(random: np.random.Generator, spots: int, kind: str = "light") -> Animal:
    """A new animal of a number of spots that do not overlap (fewer where there is no room)."""
    size = float(np.clip(0.42 / np.sqrt(spots), 0.035, 0.10) * random.uniform(0.8, 1.15))
    placed: list[Floats] = []
    centres = random.uniform(-0.8, 0.8, (max(2, spots // 6), 2))
    for _ in range(spots * 30):
        if len(placed) == spots:
            break
        if kind == "rosettes":
            at = centres[random.integers(len(centres))] + random.normal(0, 0.16, 2)
        else:
            at = random.uniform(-0.95, 0.95, 2)
        radius = float(np.clip(size * np.exp(random.normal(0, 0.28)), 0.025, 0.13))
        if inside(at, 0.06 + radius) and all(
            np.hypot(*(at - other[:2])) > 1.15 * (radius + other[2]) for other in placed
        ):
            placed.append(np.array([*at, radius]))
    dark = kind in ("dark", "eyes")
    return Animal(
        spots=np.array(placed).reshape(-1, 3),
        kind=kind,
        ground=float(random.uniform(120, 190) if dark else random.uniform(35, 90)),
        contrast=float(random.uniform(0.5, 0.9)),
        mottled=float(random.uniform(0.02, 0.08)),
        seed=int(random.integers(2**31)),
    )


def grown(animal: Animal, months: float, random: np.random.Generator, pace: float = 1) -> Animal:
    """The same animal later: spots added between the old, sizes changed, some faded, all moved.

    pace: how fast; at 1 a year adds some 12 % new spots and moves them by 0.02.
    """
    years = months / 12 * pace
    spots = animal.spots.copy()
    spots[:, 2] *= np.exp(random.normal(-0.04 * years, 0.10 * np.sqrt(years), len(spots)))
    spots[:, :2] += 0.02 * np.sqrt(years) * smooth(spots[:, :2], random)
    spots = spots[random.random(len(spots)) > 0.04 * years]
    added = []
    for _ in range(random.poisson(0.12 * years * len(animal.spots))):
        at, radius = random.uniform(-0.9, 0.9, 2), float(np.median(animal.spots[:, 2]) * 0.7)
        if inside(at, 0.1) and (np.hypot(*(spots[:, :2] - at).T) > spots[:, 2] + radius).all():
            added.append([*at, radius])
    spots[:, 2] = np.clip(spots[:, 2], 0.02, 0.14)
    return replace(animal, spots=np.vstack([spots, np.array(added).reshape(-1, 3)]))


def smooth(places: Floats, random: np.random.Generator) -> Floats:
    """A displacement (n, 2) of size about 1 that neighbours share."""
    moved = np.zeros_like(places)
    for _ in range(4):
        wave, phase = random.normal(0, 2.0, 2), random.uniform(0, 2 * np.pi)
        moved += random.normal(0, 0.7, 2) * np.sin(places @ wave + phase)[..., None]
    return moved


def skin(animal: Animal, random: np.random.Generator, view: View) -> Floats:
    """The painted animal, grey 0 to 255, (TEXTURE, TEXTURE); what is off the disc is NaN."""
    line = np.linspace(-EDGE, EDGE, TEXTURE)
    places = np.stack(np.meshgrid(line, line), -1)
    own = np.random.default_rng(animal.seed)
    cloud = ndimage.gaussian_filter(own.normal(0, 1, (TEXTURE, TEXTURE)), 12)
    level = np.full((TEXTURE, TEXTURE), 0.0)
    for x, y, radius in animal.spots:
        if random.random() < view.missing:
            continue
        _paint(level, x, y, radius, animal.kind, own)
    bright = animal.ground * (1 + animal.mottled * cloud / cloud.std())
    room = (235 - bright) if animal.kind in ("light", "rings", "rosettes") else (bright - 18)
    sign = 1 if animal.kind in ("light", "rings", "rosettes") else -1
    bright = bright + sign * animal.contrast * (1 - view.dim) * room * level
    for _ in range(view.bites):
        _bite(bright, places, random)
    for side in (-0.12, 0.12):  # the eyes stand out of the disc, and throw a shade
        bright[np.hypot(places[..., 0] - side, places[..., 1] + 0.55) < 0.045] *= 0.6
    bright[~inside(places)] = np.nan
    return bright


def _paint(
    level: Floats, x: float, y: float, radius: float, kind: str, own: np.random.Generator
) -> None:
    """One spot onto the shares of contrast, with a rim that is no circle."""
    lobes = list(zip(own.normal(0, 0.07, 3), own.uniform(0, 2 * np.pi, 3), strict=True))
    strength = own.uniform(0.75, 1)
    step = 2 * EDGE / (TEXTURE - 1)
    column, row = (x + EDGE) / step, (y + EDGE) / step
    reach = int(1.6 * radius / step) + 3
    rows = slice(max(0, int(row) - reach), int(row) + reach + 1)
    columns = slice(max(0, int(column) - reach), int(column) + reach + 1)
    at = level[rows, columns]
    down, right = np.mgrid[0 : at.shape[0], 0 : at.shape[1]]
    right = (right + columns.start - column) * step
    down = (down + rows.start - row) * step
    angle = np.arctan2(down, right)
    waves = [high * np.cos(k * angle + phase) for k, (high, phase) in enumerate(lobes, start=2)]
    rim = radius * (1 + sum(waves))
    share = np.clip((rim - np.hypot(right, down)) / 0.012 + 0.5, 0, 1)
    if kind in ("rings", "eyes") and radius > 0.045:
        hole = np.clip((0.55 * rim - np.hypot(right, down)) / 0.012 + 0.5, 0, 1)
        share = share - (0.75 if kind == "rings" else 1.3) * hole
    where = np.abs(share) > 0
    at[where] = (strength * share)[where]


def _bite(bright: Floats, places: Floats, random: np.random.Generator) -> None:
    """A healed bite: a pale patch at the rim without spots."""
    angle = random.uniform(0, 2 * np.pi)
    at = 0.93 * np.array([np.cos(angle), np.sin(angle)])
    near = np.hypot(*(places - at).transpose(2, 0, 1)) < random.uniform(0.10, 0.18)
    bright[near] = np.nanmedian(bright) * 1.15


class Water:
    """The way from a picture's pixels to the disc's frame and back: pose, tilt and ripples."""

    def __init__(self, view: View, random: np.random.Generator, size: int) -> None:
        self.half = size / 2 * random.uniform(0.60, 0.78)
        self.middle = size / 2 + random.uniform(-0.05, 0.05, 2) * size
        turn = np.radians(random.uniform(-view.turned_degrees, view.turned_degrees))
        self.turn = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        tilt = np.radians(view.tilt_degrees * np.sqrt(random.uniform(0, 1)))
        way = random.uniform(0, 2 * np.pi)
        self.lean = np.tan(tilt) * np.array([np.cos(way), np.sin(way)])
        self.flat = np.cos(tilt)
        self.way = np.array([np.cos(way), np.sin(way)])
        self.waves = [
            (
                random.normal(0, 1, 2) * random.uniform(2.0, 4.5) / np.sqrt(2),
                random.uniform(0, 2 * np.pi),
                view.ripple * random.normal(0, 0.8, 2),
            )
            for _ in range(3)
        ]
        self.fold = view.fold

    def from_pixels(self, pixels: Floats) -> Floats:
        """Pixels x, y (..., 2) to places in the disc's frame."""
        flat = (pixels - self.middle) / self.half
        seen = flat - (1 - 1 / self.flat) * (flat @ self.way)[..., None] * self.way
        far = 1 - 0.25 * (flat @ self.lean)[..., None] * self.flat
        places = (seen / far) @ self.turn.T
        moved = places.copy()
        for wave, phase, size in self.waves:
            moved += size * np.sin(places @ wave + phase)[..., None]
        if self.fold:  # one fin is folded in: what lies right of 0.5 is pressed together
            beyond = np.clip(moved[..., 0] - 0.5, 0, None)
            moved[..., 0] += self.fold * beyond
        return moved

    def to_pixels(self, places: Floats) -> Floats:
        """The reverse, by Newton's steps with a slope taken by differences."""
        pixels = self.middle + (places @ self.turn) * self.half
        for _ in range(12):
            off = places - self.from_pixels(pixels)
            right = self.from_pixels(pixels + np.array([1.0, 0])) - self.from_pixels(pixels)
            down = self.from_pixels(pixels + np.array([0, 1.0])) - self.from_pixels(pixels)
            slope = np.stack([right, down], -1)
            pixels = pixels + np.linalg.solve(slope, off[..., None])[..., 0]
        return pixels


def picture(
    animal: Animal, random: np.random.Generator, view: View | None = None, size: int = 420
) -> Picture:
    """A photograph of an animal, `size` pixels each way, tapped by hand."""
    view = view or View()
    water = Water(view, random, size)
    line = np.arange(size, dtype=np.float64)
    pixels = np.stack(np.meshgrid(line, line), -1)
    places = water.from_pixels(pixels)
    painted = skin(animal, random, view)
    at = (places + EDGE) / (2 * EDGE) * (TEXTURE - 1)
    floor = random.uniform(60, 190)
    body = np.where(np.isnan(painted), floor, painted)
    grey = ndimage.map_coordinates(body, [at[..., 1], at[..., 0]], order=1, cval=np.nan)
    ground = _floor(random, size, floor)
    there = np.isfinite(grey) & inside(places)
    grey = np.where(there, grey, ground)
    grey = _covered(grey, places, ground, view, random)
    grey = _lit(grey, pixels / size, view, random)
    image = _taken(grey, view, random, size, animal.kind)
    taps = water.to_pixels(CORNERS * outline(np.arctan2(CORNERS[:, 1], CORNERS[:, 0]))[:, None])
    tapped = taps + random.normal(0, view.taps * water.half, (4, 2)) if view.taps else taps
    return Picture(image, tapped, _truth(animal, water, taps))


def _truth(animal: Animal, water: Water, taps: Floats) -> Floats:
    """The spots in the frame of exact taps: a mean and two half differences."""
    snout, left, right, tail = taps
    axes = np.array([(right - left) / 2, (tail - snout) / 2])
    seen = (water.to_pixels(animal.spots[:, :2]) - taps.mean(0)) @ np.linalg.inv(axes)
    return np.column_stack([seen, animal.spots[:, 2]])


def _floor(random: np.random.Generator, size: int, level: float) -> Floats:
    """Sand or pebbles."""
    grain = ndimage.gaussian_filter(random.normal(0, 1, (size, size)), random.uniform(1, 5))
    return np.clip(level * (1 + 0.12 * grain / grain.std()), 0, 255)


def _covered(
    grey: Floats, places: Floats, ground: Floats, view: View, random: np.random.Generator
) -> Floats:
    """Sand over a side of the disc."""
    if not view.sand:
        return grey
    way = random.uniform(0, 2 * np.pi)
    depth = places @ np.array([np.cos(way), np.sin(way)])
    return np.where(depth > 1 - 2 * view.sand * random.uniform(0.5, 1), ground, grey)


def _lit(grey: Floats, at: Floats, view: View, random: np.random.Generator) -> Floats:
    """Shade across the picture, a hard shadow, nets of light below waves, and glare."""
    way = random.normal(0, 1, 2)
    slope = (at - 0.5) @ way / np.linalg.norm(way)
    light = 1 + view.shade * random.uniform(-1, 1) * slope * 2
    if view.hard_shadow:
        light = np.where(slope > random.uniform(-0.25, 0.25), light, light * (1 - view.hard_shadow))
    if view.caustics:
        wave = ndimage.gaussian_filter(random.normal(0, 1, grey.shape), 14)
        light = light * (1 + view.caustics * np.exp(-((wave / wave.std()) ** 2) * 12))
    grey = grey * light
    for _ in range(random.poisson(view.glare)):
        middle, wide = random.uniform(0.2, 0.8, 2), random.uniform(0.008, 0.05, 2)
        turn = random.uniform(0, np.pi)
        off = (at - middle) @ np.array(
            [[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]]
        )
        grey = grey + 200 * np.exp(-((((off / wide) ** 2).sum(-1)) ** 1.5))
    return grey


def _taken(
    grey: Floats, view: View, random: np.random.Generator, size: int, kind: str
) -> NDArray[np.uint8]:
    """Haze, blur, movement, a cast of colour, noise, and what a phone's compression leaves."""
    grey = np.clip(grey, 0, 255)
    grey = grey * (1 - view.dim * 0.5) + view.dim * 60
    grey = ndimage.gaussian_filter(grey, view.blur * random.uniform(0.3, 1) * size / 2.8 + 0.3)
    if view.motion:
        grey = ndimage.uniform_filter1d(grey, max(1, int(view.motion * size / 2.8)), axis=1)
    cast = np.array([1.0, 0.97, 0.88]) * random.uniform(0.9, 1.05, 3)
    noisy = grey[..., None] * cast + random.normal(0, max(view.noise, 1e-9), (size, size, 3))
    image = np.clip(np.round(noisy), 0, 255).astype(np.uint8)
    if view.jpeg:
        kept = io.BytesIO()
        Image.fromarray(image).save(kept, "JPEG", quality=view.jpeg)
        image = np.asarray(Image.open(kept).convert("RGB"))
    return image


def glimpsed(
    animal: Animal,
    random: np.random.Generator,
    *,
    missed: float = 0.1,
    wrong: float = 0.05,
    off: float = 0.01,
    bent: float = 0.03,
) -> Floats:
    """Spots (n, 3) as a finder might give them, without the cost of a picture.

    missed: share of spots not found. wrong: share of those found that are none. off: how far each
    lies amiss by itself. bent: how far neighbours lie amiss together.
    """
    spots = animal.spots[random.random(len(animal.spots)) >= missed].copy()
    spots[:, :2] += bent * smooth(spots[:, :2], random) + random.normal(0, off, (len(spots), 2))
    spots[:, 2] *= np.exp(random.normal(0, 0.15, len(spots)))
    count = random.binomial(len(spots), wrong)
    others = np.column_stack([random.uniform(-0.65, 0.65, (count, 2)), np.full(count, 0.05)])
    return np.vstack([spots, others])
