"""Four taps on a picture: read as they were sent, and what speaks against them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from breeding.spots.frame import LEAST_PIXELS, LEAST_SINE, Frame
from breeding.words.language import message, tell

Tap = tuple[float, float]
ASKED = (
    message("Tap the tip of the snout."),
    message("Tap the edge of the disc on the left, with the snout up."),
    message("Tap the edge of the disc on the right."),
    message("Tap where the tail begins."),
)
PLACES = (
    message("snout tip"),
    message("left edge"),
    message("right edge"),
    message("tail base"),
)
SMALL = message(
    "The disc is {width} pixels wide and {length} long; it must be at least {least} each way. "
    "Take the picture from nearer, or tap again."
)
LINE = message("The four taps lie nearly on a line; tap snout, left, right and tail base again.")
MIRRORED = message(
    "The taps are mirrored. With the snout up, the left edge is on the left: tap again, or swap "
    "left and right."
)
OFF = message("The {place} lies off the picture; it must be from 0 to {width} and 0 to {height}.")
ODD = message("“{typed}” is no place on the picture; write two numbers, such as 120, 85.")


@dataclass(frozen=True)
class Taps:
    """What was tapped so far, in pixels of the picture, and what is wrong with it."""

    taps: tuple[Tap, ...]
    problem: str = ""

    @property
    def are_all(self) -> bool:
        return len(self.taps) == len(ASKED)

    @property
    def asked(self) -> str:
        """What is to be tapped next; empty when nothing is left."""
        return "" if self.are_all else tell(ASKED[len(self.taps)])


def read_taps(typed: Sequence[str], *, width: int, height: int) -> Taps:
    """Taps as "x, y", the first four of them; the first that is wrong ends them."""
    taps: list[Tap] = []
    for text in list(typed)[: len(ASKED)]:
        tap = _read(text)
        if tap is None:
            return Taps(tuple(taps), tell(ODD, typed=text[:40]))
        if problem := off_picture([*taps, tap], width=width, height=height):
            return Taps(tuple(taps), problem)
        taps.append(tap)
    return Taps(tuple(taps), against(taps) if len(taps) == len(ASKED) else "")


def off_picture(taps: Sequence[Tap], *, width: int, height: int) -> str:
    """Which tap lies off the picture; empty for none."""
    for place, (x, y) in zip(PLACES, taps, strict=False):
        if not (0 <= x <= width and 0 <= y <= height):
            return tell(OFF, place=tell(place), width=width, height=height)
    return ""


def _read(text: str) -> Tap | None:
    # Behind a semicolon stands the second number, so a comma within one is a decimal mark.
    parts = text.replace(",", ".").split(";") if ";" in text else text.split(",")
    try:
        x, y = (float(part) for part in parts)
    except ValueError:
        return None
    return (x, y) if np.isfinite([x, y]).all() else None


def against(taps: Sequence[Tap]) -> str:
    """What speaks against four taps; empty for nothing.

    >>> against([(50, 0), (0, 50), (100, 50), (50, 100)])
    ''
    """
    snout, left, right, tail = np.array(taps, np.float64)
    across, along = right - left, tail - snout
    width, length = float(np.linalg.norm(across)), float(np.linalg.norm(along))
    if min(width, length) < LEAST_PIXELS:
        return tell(SMALL, width=round(width), length=round(length), least=LEAST_PIXELS)
    sine = float(across[0] * along[1] - across[1] * along[0]) / (width * length)
    if abs(sine) < LEAST_SINE:
        return tell(LINE)
    return tell(MIRRORED) if sine < 0 else ""


def outline(taps: Sequence[Tap], *, points: int = 48) -> str:
    """The disc's rim as the points of an SVG polygon, in pixels of the picture."""
    frame = Frame.of_taps(np.array(taps, np.float64))
    angles = np.linspace(0, 2 * np.pi, points, endpoint=False)
    rim = frame.to_pixels(np.column_stack([np.sin(angles), np.cos(angles)]))
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in rim)


def as_array(taps: Sequence[Sequence[float]]) -> NDArray[np.float64]:
    """float64 (4, 2)."""
    return np.array(taps, np.float64).reshape(-1, 2)
