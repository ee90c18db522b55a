"""The growth of a program's animals, fitted together: each has a curve of its own; pure.

Every animal i has a rate k_i and a width at birth b_i of its own, and shares the final width F:

    width = F - (F - b_i) exp(-k_i age) + error,   error normal with a spread of `noise` mm,
    log k_i normal around the program's, b_i normal around the program's.

An animal measured once leans on the others, one measured often on itself (partial pooling). The
figures of a published curve are where the fit starts and what it holds to while the program has
measured too little to say otherwise: loosely in the rate (captive animals grow faster than wild
ones), more closely in the final width, of which young animals tell nothing.

Least squares finds all curves at once for given spreads (`shared.py`); the spreads are read from
what is left over (a step of EM with a normal approximation), until they no longer move.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from breeding.animals.growth.curve import Curve, Numbers
from breeding.animals.growth.shared import Blocks, Looked, least_of

# Spreads before anything is measured; every one an assumption of this project.
RATE_KNOWN_TO = 0.8  # of the log of the program's rate around the published one
FINAL_KNOWN_TO = 0.15  # of the log of the final width
BIRTH_KNOWN_TO = 0.15  # of the log of the width at birth
FINAL_SPREAD = 0.10  # of the log of the final width among animals: young ones never show it
RATE_SPREAD = 0.25  # of the log of the rate among animals
BIRTH_SPREAD_MM = 6.0  # of the width at birth among animals
NOISE_MM = 3.0  # of a measurement: an animal that breathes, a rule beside it
WORTH = 4.0  # so many animals (measurements for the noise) are these three worth

MOST_ROUNDS = 12
CLOSE = 0.01  # relative; the spreads no longer move
EARLIEST_RATE, LATEST_RATE = 1e-3, 50.0
_RATES = (math.log(EARLIEST_RATE), math.log(LATEST_RATE))
_SQUARE = np.array([[0, 1, 2], [1, 3, 4], [2, 4, 5]])  # where of six its three rows stand
_ONE = np.eye(2)[:, :, None]


@dataclass(frozen=True)
class Measured:
    """The widths of one animal: ages in years and widths in mm, two arrays of one length.

    Raises ValueError naming what is allowed.
    """

    ages: Numbers
    widths: Numbers

    def __post_init__(self) -> None:
        if self.ages.shape != self.widths.shape or self.ages.ndim != 1:
            raise ValueError("ages and widths are two lists of one length.")
        for name, least in (("ages", 0.0), ("widths", 1.0)):
            values = getattr(self, name)
            if not np.all(np.isfinite(values)) or np.any(values < least):
                raise ValueError(f"{name} are {values.tolist()}; {least:g} or more is allowed.")

    @classmethod
    def of(cls, pairs: Sequence[tuple[float, float]]) -> "Measured":
        """From (age in years, width in mm) pairs in any order."""
        rows = np.array(sorted(pairs), dtype=float).reshape(-1, 2)
        return cls(rows[:, 0], rows[:, 1])


@dataclass(frozen=True)
class Spreads:
    """How animals differ, and how measurements do: of log rates, of widths at birth, in mm."""

    rate: float = RATE_SPREAD
    birth: float = BIRTH_SPREAD_MM
    noise: float = NOISE_MM


@dataclass(frozen=True)
class Program:
    """What the program's animals of a kind have taught: the middle curve and the spreads.

    animals, measurements: on how many it rests (0: on the published curve alone).
    log_doubt: how well the logs of the middle curve's figures are known, 3 x 3 variances in the
    order of `Curve`.
    """

    middle: Curve
    spreads: Spreads
    animals: int
    measurements: int
    log_doubt: npt.NDArray[np.float64]


def fit_program(measured: Sequence[Measured], *, start: Curve) -> Program:
    """Fit the curves of all animals together; without any the published curve comes back.

    start: the published curve of the species and sex. Cost: about 0.02 s for 100 animals.
    """
    animals = [one for one in measured if len(one.ages)]
    spreads = Spreads()
    if not animals:
        doubt = np.diag([FINAL_KNOWN_TO**2, RATE_KNOWN_TO**2, BIRTH_KNOWN_TO**2])
        return Program(start, spreads, 0, 0, doubt)
    laid = _Laid(animals, start)
    found = laid.solved(laid.first(), spreads)
    for _ in range(MOST_ROUNDS):
        before, spreads = spreads, laid.spreads_left(found, spreads)
        found = laid.solved(laid.said_in(spreads, found, before), spreads, near=True)
        if _moved(before, spreads) < CLOSE:
            break
    final, rate, birth = np.exp(found[0]), np.exp(found[1]), np.exp(found[2])
    middle = Curve(float(final), float(rate), float(min(birth, 0.95 * final)))
    return Program(middle, spreads, len(animals), len(laid.ages), laid.doubt(found, spreads))


def _moved(before: Spreads, after: Spreads) -> float:
    pairs = ((before.rate, after.rate), (before.birth, after.birth), (before.noise, after.noise))
    return max(abs(new - old) / old for old, new in pairs)


class _Laid:
    """All measurements in one row, and the unknowns in one vector.

    Unknowns: log final, log rate, log birth width of the program, then of each animal two: how far
    its log rate lies from the program's in spreads, and so its width at birth.
    """

    def __init__(self, animals: Sequence[Measured], start: Curve) -> None:
        self.number = len(animals)
        each = [len(one.ages) for one in animals]
        self.whose = np.repeat(np.arange(self.number), each)
        self.begins = np.concatenate([[0], np.cumsum(each)[:-1]])
        self.ages = np.concatenate([one.ages for one in animals])
        self.widths = np.concatenate([one.widths for one in animals])
        self.start = np.log([start.final_width, start.rate, start.birth_width])
        self.known = np.array([FINAL_KNOWN_TO, RATE_KNOWN_TO, BIRTH_KNOWN_TO]) ** -2.0

    def first(self) -> Numbers:
        return np.concatenate([self.start, np.zeros(2 * self.number)])

    def said_in(self, spreads: Spreads, unknown: Numbers, before: Spreads) -> Numbers:
        """The same curves, each animal's own unknowns in other spreads than before."""
        own = unknown[3:].reshape(-1, 2) * (
            before.rate / spreads.rate,
            before.birth / spreads.birth,
        )
        return np.concatenate([unknown[:3], own.ravel()])

    def solved(self, first: Numbers, spreads: Spreads, *, near: bool = False) -> Numbers:
        """The most likely unknowns for these spreads; near: they are near the first ones."""
        return least_of(
            lambda unknown: self.looked(unknown, spreads),
            first,
            whole=lambda unknown: self.looked(unknown, spreads, bent=True),
            near=near,
        )

    def looked(self, unknown: Numbers, spreads: Spreads, *, bent: bool = False) -> Looked:
        """The squares that are made small, each of a miss in units of its own spread.

        bent: the curvature with what the misses bend, else as if they were straight.
        """
        away, own = unknown[:3] - self.start, unknown[3:]
        misses, slopes, bends = self.misses(unknown, spreads, bent=bent)
        final, rate, birth = slopes
        squares = [final * final, final * rate, final * birth, rate * rate, rate * birth]
        rows = [*(slopes * misses), *squares, birth * birth, *(one * misses for one in bends)]
        by_animal = np.add.reduceat(np.array(rows), self.begins, axis=1)
        rises, curved = by_animal[:3], by_animal[3:9]
        of_birth = float(np.exp(unknown[2]))  # mm that a step of its log makes
        shared = np.array([1.0, 1.0, of_birth])
        scale = np.array([spreads.rate, spreads.birth])
        by_shared = rises.sum(axis=1) * shared
        if bent:
            curved[[0, 1, 3, 4]] += by_animal[9:]
        blocks = self._blocks(curved, shared, scale)
        if bent:
            blocks.common[2, 2] += by_shared[2]
        return Looked(
            half=float(misses @ misses + self.known @ away**2 + own @ own) / 2,
            rises=np.concatenate(
                [by_shared + self.known * away, (rises[1:].T * scale).ravel() + own]
            ),
            blocks=blocks,
        )

    def _blocks(self, by_animal: Numbers, shared: Numbers, scale: Numbers) -> Blocks:
        """From each animal's curvature in final, log rate and birth: the six that differ."""
        square = by_animal[_SQUARE]
        common = square.sum(axis=2) * np.outer(shared, shared) + np.diag(self.known)
        border = square[:, 1:] * np.outer(shared, scale)[:, :, None]
        own = square[1:, 1:] * np.outer(scale, scale)[:, :, None] + _ONE
        return Blocks(common, border.transpose(2, 0, 1), own.transpose(2, 0, 1))

    def misses(
        self, unknown: Numbers, spreads: Spreads, *, bent: bool = False
    ) -> tuple[Numbers, Numbers, Sequence[Numbers]]:
        """By how much each width is missed, in units of the noise; how that changes with the log
        of the final width, the log of its animal's rate and that one's width at birth in mm, shape
        (3, measurements); and where it is asked, how these slopes change: final with itself and
        rate, rate with itself and birth. The others change not at all."""
        final = float(np.exp(unknown[0]))
        own = unknown[3:]
        log_rate = np.clip(unknown[1] + spreads.rate * own[::2], *_RATES)
        birth = np.exp(unknown[2]) + spreads.birth * own[1::2]
        time = np.exp(log_rate)[self.whose] * self.ages
        left = np.exp(-time) / spreads.noise
        lacking, gone = (final - birth[self.whose]) * left, left * time
        all_of_it = final / spreads.noise
        slopes = np.array([all_of_it - final * left, lacking * time, left])
        misses = all_of_it - lacking - self.widths / spreads.noise
        if not bent:
            return misses, slopes, ()
        return misses, slopes, (slopes[0], final * gone, slopes[1] * (1 - time), -gone)

    def doubt(self, unknown: Numbers, spreads: Spreads) -> Numbers:
        """How well the three shared unknowns are known: variances, shape (3, 3)."""
        return self.looked(unknown, spreads).blocks.doubt()[0]

    def spreads_left(self, unknown: Numbers, spreads: Spreads) -> Spreads:
        """The spreads that the unknowns and their doubt speak for, held loosely to the first."""
        looked = self.looked(unknown, spreads)
        common, doubts = looked.blocks.doubt()
        own = unknown[3:].reshape(-1, 2) ** 2 + doubts
        # What the measurements alone say of all unknowns together, in units of what is known.
        spared = 3 + 2 * self.number - float(self.known @ np.diag(common)) - float(doubts.sum())
        held = self.known @ (unknown[:3] - self.start) ** 2 + unknown[3:] @ unknown[3:]
        left = 2 * looked.half - float(held) + spared
        return Spreads(
            rate=_held(float(own[:, 0].sum()), self.number, spreads.rate, RATE_SPREAD),
            birth=_held(float(own[:, 1].sum()), self.number, spreads.birth, BIRTH_SPREAD_MM),
            noise=_held(left, len(self.ages), spreads.noise, NOISE_MM),
        )


def _held(squares: float, number: int, unit: float, usual: float) -> float:
    """A spread from squares in its old unit, with the usual one counting as `WORTH` of them."""
    return float(np.sqrt((squares * unit**2 + WORTH * usual**2) / (number + WORTH)))
