"""Who is likeliest in a picture, of the animals on record and nobody, and why; pure."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from breeding.spots.evidence import (
    FEWEST,
    HALVING_MONTHS,
    chances,
    log_ratios,
    measures_of,
    telling,
)
from breeding.spots.fit import Fit, fitted
from breeding.spots.shortlist import padded, worth_a_look

Floats = NDArray[np.float64]
Id = TypeVar("Id", bound=Hashable)
Pictures = Sequence[tuple[float, ArrayLike]]

MOST = 500  # spots of a picture: more would only take time
FARTHEST = 2.0  # half widths from the middle: no spot of a disc lies there


@dataclass(frozen=True)
class Partners:
    """Which spots of two pictures are the same if it is the same animal.

    picture: which of the pictures on record, counted from 0, agrees best. pairs: (k, 2), rows of
    the spots seen and of the spots on record. ratio: how much likelier the picture is if it is the
    same animal than if it is not, as this picture alone says.
    """

    picture: int
    pairs: NDArray[np.intp]
    ratio: float


def likeliest(
    seen: ArrayLike,
    known: Mapping[Id, Pictures],
    *,
    halving_months: float = HALVING_MONTHS,
    dim: bool = False,
) -> list[tuple[Id | None, float]]:
    """The animals on record and None, nobody on record, each with its chance, best first, sum 1.

    seen: (n, 3) spots as `find_spots` gives them. known: id to a sequence of (months ago, spots).
    halving_months: after so many months a picture on record tells half as often, by the species.
    dim: whether `untold` calls the picture dim; nobody is then less likely than it looks.
    With under four spots nothing can be told: the chances are those of before, 0.2 for nobody and
    equal shares for all others. An animal without such a picture keeps its share. Nobody is never
    sure: see `breeding/spots/evidence.py`. Raises ValueError with the value and what is allowed.
    500 animals with five pictures each take some 0.2 s; grows with the number of pictures.

    >>> likeliest([], {})
    [(None, 1.0)]
    """
    spots = checked(seen, "seen")
    if not 0 < halving_months < np.inf:
        raise ValueError(f"halving_months is {halving_months!r}; it must be a number above 0.")
    if None in known:
        raise ValueError("known holds the id None; it stands for nobody on record.")
    album = _album(known)
    if not known:
        return [(None, 1.0)]
    months = np.array([one.months for one in album])
    tells = telling(len(spots), months, halving_months, dim=dim)
    ratios = _ratios(spots, album, tells, len(known))
    ids: list[Id | None] = [*known, None]
    found = [(one, float(chance)) for one, chance in zip(ids, chances(ratios), strict=True)]
    return sorted(found, key=lambda one: -one[1])


def partners(seen: ArrayLike, pictures: Pictures) -> Partners | None:
    """Which spots agree with one animal's pictures, on the picture that agrees best.

    seen, pictures: as for `likeliest`. None where the picture, or every one of the pictures on
    record, has under four spots. Raises ValueError likewise.
    """
    spots = checked(seen, "seen")
    album = [one for one in _album({0: pictures}) if len(one.spots) >= FEWEST]
    if len(spots) < FEWEST or not album:
        return None
    rows, fits = _fits(spots, album)
    ratios = log_ratios(measures_of(fits))
    best = int(ratios.argmax())
    return Partners(album[rows[best]].picture, fits[best].pairs, float(np.exp(ratios[best])))


def checked(spots: ArrayLike, name: str) -> Floats:
    """Spots as float64 (n, 3). Raises ValueError for another shape and for impossible spots."""
    try:
        found: Floats = np.asarray(spots, dtype=np.float64)
    except (TypeError, ValueError):
        raise ValueError(f"{name} is {spots!r}; it must be spots of three numbers.") from None
    if found.size == 0:
        return np.empty((0, 3))
    if found.ndim != 2 or found.shape[1] != 3:
        raise ValueError(f"{name} has the shape {found.shape}; it must be (n, 3): x, y, radius.")
    if len(found) > MOST:
        raise ValueError(f"{name} holds {len(found)} spots; it may hold {MOST} at most.")
    wrong = ~np.isfinite(found).all(1)
    wrong |= (np.abs(found[:, :2]) > FARTHEST).any(1) | (found[:, 2] <= 0) | (found[:, 2] > 1)
    if wrong.any():
        row = int(wrong.argmax())
        raise ValueError(
            f"{name} has in row {row} the spot {found[row].tolist()}; x and y must be from "
            f"-{FARTHEST:g} to {FARTHEST:g} and the radius above 0, at most 1."
        )
    return found


@dataclass(frozen=True)
class _Picture:
    """One picture of the album: whose (counted), which of that animal's, how old, its spots."""

    animal: int
    picture: int
    months: float
    spots: Floats


def _album(known: Mapping[Id, Pictures]) -> list[_Picture]:
    return [
        _picture(animal, number, months, spots, name)
        for animal, (name, pictures) in enumerate(known.items())
        for number, (months, spots) in enumerate(pictures)
    ]


def _picture(animal: int, number: int, months: float, spots: ArrayLike, name: object) -> _Picture:
    if not np.isfinite(months):
        raise ValueError(f"A picture of {name!r} is {months!r} months old; it must be a number.")
    return _Picture(animal, number, float(months), checked(spots, f"A picture of {name!r}"))


def _fits(spots: Floats, album: list[_Picture]) -> tuple[NDArray[np.intp], list[Fit]]:
    """Rows of the pictures that are worth a closer look, and their fits."""
    padded_spots, real = padded([one.spots for one in album])
    rows, starts = worth_a_look(spots, padded_spots, real)
    most = int(real[rows].sum(1).max())
    return rows, fitted(spots, padded_spots[rows, :most], real[rows, :most], starts)


def _ratios(spots: Floats, album: list[_Picture], tells: Floats, animals: int) -> Floats:
    """Likelihood ratios of animals (k,): over the pictures of one, the mean by what each tells.

    What an animal's pictures say is what the one says that tells; which one that is is not known.
    """
    whose = np.array([one.animal for one in album], np.intp)
    useful = [row for row, one in enumerate(album) if len(one.spots) >= FEWEST]
    said = np.where([len(one.spots) >= FEWEST for one in album], 0.0, 1.0)
    if len(spots) < FEWEST or not useful:
        return np.ones(animals)
    rows, fits = _fits(spots, [album[row] for row in useful])
    said[np.array(useful)[rows]] = np.exp(log_ratios(measures_of(fits)))
    return _over_pictures(said, tells, whose, animals)


def _over_pictures(said: Floats, tells: Floats, whose: NDArray[np.intp], animals: int) -> Floats:
    weight = np.bincount(whose, tells, animals)
    total = np.bincount(whose, tells * (tells * said + 1 - tells), animals)
    found: Floats = np.where(weight > 0, total / np.maximum(weight, 1e-12), 1.0)
    return found
