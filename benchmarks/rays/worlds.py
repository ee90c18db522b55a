"""Invented rays photographed once, and again later: what recognition is fitted to and tried on."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from breeding.spots import Reading, read_picture
from tests.spots.rendered import Animal, View, grown, invented, picture

Floats = NDArray[np.float64]
Random = np.random.Generator
SIZE = 340  # pixels of a picture, each way


@dataclass(frozen=True)
class World:
    """How animals look and are photographed. spots: fewest and most, drawn evenly in logarithms."""

    kinds: tuple[str, ...]
    view: Callable[[Random], View]
    spots: tuple[int, int] = (5, 110)
    months: float = 24  # the picture on record is at most so old
    pace: float = 1.0  # of growth


@dataclass(frozen=True)
class Met:
    """One animal: its picture on record with its age in months, and pictures taken today."""

    animal: Animal
    months: float
    on_record: Reading
    today: tuple[Reading, ...]


def fitted_view(random: Random) -> View:
    """The pictures that the evidence was fitted to."""
    return View(
        tilt_degrees=25 * random.uniform(0.2, 1),
        ripple=random.uniform(0, 0.05),
        taps=random.uniform(0.005, 0.03),
        glare=int(random.integers(0, 4)),
        blur=random.uniform(0.005, 0.02),
        noise=random.uniform(2, 10),
        missing=random.uniform(0, 0.12),
        dim=random.uniform(0, 0.6) if random.random() < 0.3 else 0,
    )


KINDS_OF_TROUBLE = (
    {"hard_shadow": 0.5},
    {"caustics": 0.4},
    {"motion": 0.03},
    {"jpeg": 25},
    {"sand": 0.2},
    {"bites": 2},
    {"fold": 0.5},
)


def troubled_view(random: Random) -> View:
    """One kind of trouble in each picture that nothing was fitted to."""
    trouble = KINDS_OF_TROUBLE[int(random.integers(len(KINDS_OF_TROUBLE)))]
    return replace(fitted_view(random), dim=0, **trouble)


def dim_view(random: Random) -> View:
    """Haze takes most of the contrast."""
    return replace(fitted_view(random), dim=random.uniform(0.6, 0.9))


def few_spots(world: World) -> World:
    return replace(world, spots=(5, 12))


FITTED_TO = World(("light", "dark", "rings"), fitted_view)
HELD_OUT = World(("eyes", "rosettes", "light", "dark"), troubled_view)
FAST_GROWING = replace(FITTED_TO, months=36, pace=2.5)
DIM = World(("light", "dark", "rings"), dim_view)


def met(world: World, animals: int, seed: int, today: int = 1) -> list[Met]:
    """So many animals of a world, each with one picture on record and so many of today."""
    random = np.random.default_rng(seed)
    return [_met(world, number, today, random) for number in range(animals)]


def _met(world: World, number: int, today: int, random: Random) -> Met:
    few, many = np.log(world.spots)
    count = int(np.exp(random.uniform(few, many)))
    animal = invented(random, count, world.kinds[number % len(world.kinds)])
    months = float(random.uniform(0, world.months))
    first = seen(animal, world.view(random), random)
    later = [grown(animal, months, random, world.pace) for _ in range(today)]
    return Met(animal, months, first, tuple(seen(one, world.view(random), random) for one in later))


def seen(animal: Animal, view: View, random: Random) -> Reading:
    """An animal photographed, and what was read off the picture."""
    shot = picture(animal, random, view, SIZE)
    return read_picture(shot.image, shot.points)
