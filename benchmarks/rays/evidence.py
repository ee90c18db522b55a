"""Fits the coefficients of the evidence to invented rays: `-m benchmarks.rays.evidence`.

Every picture of today is asked twice: with its animal on record, and with that animal left out. The
coefficients are those under which what is true has the largest chance, as a mean of logarithms;
prints them, to be written into `breeding/spots/evidence.py`. Ends by itself; some five minutes of
one core.
"""

import argparse
from dataclasses import astuple, dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from benchmarks.rays.worlds import FITTED_TO, Met, few_spots, met
from breeding.spots.evidence import (
    FEWEST,
    FITTED,
    NOBODY,
    Coefficients,
    log_ratios,
    measures_of,
    telling,
)
from breeding.spots.fit import fitted
from breeding.spots.shortlist import padded, worth_a_look

Floats = NDArray[np.float64]
SPREAD = np.array([1, 0.3, 0.3, 0.3, 0.3, 0.3, 0.3, 3, 3])  # how far each may be expected to go
PULL = 1e-4  # towards what was there before


@dataclass(frozen=True)
class Asked:
    """One picture of today against an album with one picture of each animal.

    measures: (k, 6) of the pictures looked at closely. months: (k,). true: which of them, or -1.
    """

    measures: Floats
    months: Floats
    true: int
    true_months: float
    spots: int
    animals: int


def asked(animals: list[Met]) -> list[Asked]:
    """All pictures of today of a world, each against all animals of it."""
    album = [one for one in animals if len(one.on_record.spots) >= FEWEST]
    spots, real = padded([one.on_record.spots for one in album])
    months = np.array([one.months for one in album])
    found = []
    for one in album:
        for reading in one.today:
            if len(reading.spots) < FEWEST:
                continue
            rows, starts = worth_a_look(reading.spots, spots, real)
            fits = fitted(reading.spots, spots[rows], real[rows], starts)
            where = [row for row, at in enumerate(rows) if album[at] is one]
            found.append(
                Asked(
                    measures_of(fits),
                    months[rows],
                    where[0] if where else -1,
                    one.months,
                    len(reading.spots),
                    len(album),
                )
            )
    return found


def chance_of_truth(one: Asked, by: Coefficients) -> tuple[float, float]:
    """(of the animal when it is on record, of nobody when it is not)."""
    tells = telling(one.spots, one.months)
    ratios = tells * np.exp(log_ratios(one.measures, by)) + 1 - tells
    missed = 1 - float(telling(one.spots, np.array([one.true_months]))[0])
    true = float(ratios[one.true]) if one.true >= 0 else missed
    others = float(ratios.sum()) - (true if one.true >= 0 else 0.0)
    unseen = one.animals - len(ratios) - (one.true < 0)
    others += unseen * float(1 - tells.mean())
    share = (1 - NOBODY) / one.animals
    known = share * true / (share * (true + others) + NOBODY)
    share = (1 - NOBODY) / max(one.animals - 1, 1)
    return known, NOBODY / (share * others + NOBODY)


def loss(questions: list[Asked], by: Coefficients) -> float:
    """The mean of minus the logarithms of what was given to the truth."""
    known, nobody = np.array([chance_of_truth(one, by) for one in questions]).T
    return float(-(1 - NOBODY) * np.log(known).mean() - NOBODY * np.log(nobody).mean())


def best(questions: list[Asked], start: Coefficients = FITTED) -> Coefficients:
    """The coefficients with the least loss."""
    first = np.array(astuple(start), np.float64)

    def of(steps: Floats) -> float:
        by = Coefficients(*(first + steps * SPREAD))
        return loss(questions, by) + PULL * float((steps**2).sum())

    found = minimize(of, np.zeros(len(first)), method="L-BFGS-B", options={"maxiter": 40})
    return Coefficients(*(float(one) for one in first + found.x * SPREAD))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--animals", type=int, default=110)
    parser.add_argument("--seed", type=int, default=11)
    given = parser.parse_args()
    questions = []
    for number, world in enumerate((FITTED_TO, few_spots(FITTED_TO))):
        animals = given.animals if number == 0 else given.animals // 2
        questions += asked(met(world, animals, given.seed + number, today=2))
    print(f"{len(questions)} pictures; loss before {loss(questions, FITTED):.4f}")
    found = best(questions)
    print(f"loss after {loss(questions, found):.4f}")
    print(found)


if __name__ == "__main__":
    main()
