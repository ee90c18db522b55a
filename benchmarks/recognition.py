"""How often a ray is known by its spots, and whether the chances come true.

Invented rays, no photograph. Prints the rate found against spots seen, tilt and months since the
picture on record; a table of chances said and come true, for the world the evidence was fitted to
(other animals), for kinds of trouble it was not fitted to, for few spots, fast growth and dim
pictures; and how long 500 animals with five pictures each take. Ends by itself; some five minutes
of one core.

    python -m benchmarks.recognition [--animals 80] [--seed 1986] [--only time]
"""

import argparse
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from benchmarks.rays.worlds import (
    DIM,
    FAST_GROWING,
    FITTED_TO,
    HELD_OUT,
    Met,
    few_spots,
    met,
    seen,
)
from breeding.spots import find_spots, likeliest, untold
from breeding.spots.evidence import NOBODY
from tests.spots.rendered import View, glimpsed, grown, invented, picture

Album = dict[int, list[tuple[float, NDArray[np.float64]]]]
BANDS = (0.05, 0.2, 0.5, 0.7, 0.95, 0.99, 1.0)
SPOTS_SEEN = (0, 6, 9, 13, 20, 40, 200)
TILTS = (0, 20, 35, 50, 65)
MONTHS = (0, 12, 24, 48, 96)
WORLDS = {
    "the world fitted to, other animals": FITTED_TO,
    "kinds and trouble nothing was fitted to": HELD_OUT,
    "6 to 12 spots": few_spots(FITTED_TO),
    "6 to 12 spots, trouble nothing was fitted to": few_spots(HELD_OUT),
    "fast growth, up to three years": FAST_GROWING,
    "dim pictures": DIM,
}


@dataclass(frozen=True)
class Answer:
    """What was said of one picture. true: whose it is, None when that is not on record."""

    true: int | None
    spots: int
    said: list[tuple[int | None, float]]

    @property
    def first_animal(self) -> int | None:
        return next(one for one, _ in self.said if one is not None)

    @property
    def is_found(self) -> bool:
        return self.true is not None and self.first_animal == self.true

    @property
    def weight(self) -> float:
        """Strangers and animals on record in the shares that were assumed."""
        return NOBODY if self.true is None else 1 - NOBODY


def answers(animals: Sequence[Met]) -> Iterator[Answer]:
    """Every picture of today asked with its animal on record, and with that animal left out."""
    known = {number: [(one.months, one.on_record.spots)] for number, one in enumerate(animals)}
    for number, one in enumerate(animals):
        others = {other: pictures for other, pictures in known.items() if other != number}
        for reading in one.today:
            spots, dim = reading.spots, untold(reading) == "dim"
            yield Answer(number, len(spots), likeliest(spots, known, dim=dim))
            yield Answer(None, len(spots), likeliest(spots, others, dim=dim))


def say_calibration(given: Sequence[Answer]) -> None:
    """Of chances said in each band, how many came true; animals and nobody apart."""
    for whom, is_nobody in (("an animal", False), ("nobody", True)):
        rows = [
            (chance, one == answer.true, answer.weight)
            for answer in given
            for one, chance in answer.said
            if (one is None) == is_nobody
        ]
        chance, came, weight = np.array(rows, np.float64).T
        for low, high in pairwise(BANDS):
            here = (chance >= low) & (chance < high)
            if here.any():
                said, true = (np.average(v[here], weights=weight[here]) for v in (chance, came))
                print(f"    {whom:9} said {low:.2f} to {high:.2f}: mean {said:.3f}, "
                      f"came true {true:.3f} of {here.sum()}")  # fmt: skip


def say_by_spots(given: Sequence[Answer]) -> None:
    for low, high in pairwise(SPOTS_SEEN):
        here = [one for one in given if one.true is not None and low <= one.spots < high]
        if here:
            print(f"    {low:3} to {high - 1:3} spots seen: {_rate(here)}")


def _rate(given: Sequence[Answer]) -> str:
    known = [one for one in given if one.true is not None]
    sure = [one for one in known if one.is_found and one.said[0][1] >= 0.95]
    found = np.mean([one.is_found for one in known])
    return f"first {found:.3f}, first at 95 % {len(sure) / len(known):.3f} (of {len(known)})"


def say_worlds(animals: int, seed: int) -> None:
    for number, (name, world) in enumerate(WORLDS.items()):
        given = list(answers(met(world, animals, seed + number)))
        print(f"  {name}: {_rate(given)}")
        say_by_spots(given)
        say_calibration(given)


def say_curve(animals: int, seed: int) -> None:
    """The rate found against tilt, and against months, the same animals each time."""
    world = replace(FITTED_TO, spots=(12, 110))
    album = met(world, animals, seed, today=0)
    known: Album = {number: [(one.months, one.on_record.spots)] for number, one in enumerate(album)}
    for tilt in TILTS:
        view = View(tilt_degrees=tilt, ripple=0.02)
        print(f"  tilt to {tilt:2} degrees: {_rate(list(_asked(album, known, view, 3, seed)))}")
    for months in MONTHS:
        old: Album = {number: [(float(months), spots)] for number, ((_, spots),) in known.items()}
        given = list(_asked(album, old, View(), months, seed))
        print(f"  {months:2} months: {_rate(given)}")


def _asked(
    album: Sequence[Met], known: Album, view: View, months: float, seed: int
) -> Iterator[Answer]:
    """Each animal photographed so many months after its picture on record."""
    random = np.random.default_rng(seed + int(months) + 1)
    for number, one in enumerate(album):
        reading = seen(grown(one.animal, months, random), view, random)
        yield Answer(number, len(reading.spots), likeliest(reading.spots, known))


def say_proofs(animals: int, seed: int) -> None:
    """A picture held against the spots that the file of one animal carries: its own, or another's.

    Strangers weigh as much as is assumed: one picture in five shows another animal.
    """
    for number, (name, world) in enumerate(WORLDS.items()):
        rows = []
        album = met(world, animals, seed + number)
        for one, other in zip(album, [*album[1:], album[0]], strict=True):
            for is_its, file in ((True, one), (False, other)):
                for reading in one.today:
                    known: Album = {0: [(file.months, file.on_record.spots)]}
                    dim = untold(reading) == "dim"
                    said = likeliest(reading.spots, known, dim=dim)
                    chance = dict(said)[0]
                    rows.append((chance, is_its, 1 - NOBODY if is_its else NOBODY))
        print(f"  {name}:")
        chances, came, weight = np.array(rows, np.float64).T
        for low, high in pairwise((0.0, 0.2, 0.25, 0.3, 0.5, 0.8, 0.95, 1.0)):
            here = (chances >= low) & (chances < high)
            if here.any():
                mean, true = (np.average(v[here], weights=weight[here]) for v in (chances, came))
                print(f"    its own said {low:.2f} to {high:.2f}: mean {mean:.3f}, came true "
                      f"{true:.3f} of {here.sum()}")  # fmt: skip


def say_time(seed: int, animals: int = 500, pictures: int = 5) -> None:
    """The best of three, of an album without the cost of painting it."""
    random = np.random.default_rng(seed)
    known: Album = {}
    for number in range(animals):
        one = invented(random, int(np.exp(random.uniform(np.log(8), np.log(110)))))
        known[number] = [(6.0 * age, glimpsed(one, random)) for age in range(pictures)]
    shot = picture(invented(random, 60), random, size=1000)
    finding, asking, worked = [], [], []
    for _ in range(3):
        begun = time.perf_counter()
        spots = find_spots(shot.image, shot.points)
        found, busy = time.perf_counter(), time.process_time()
        likeliest(spots, known)
        finding.append(found - begun)
        asking.append(time.perf_counter() - found)
        worked.append(time.process_time() - busy)
    size = sum(spots.nbytes for one in known.values() for _, spots in one) / 1e6
    print(f"  {animals} animals with {pictures} pictures each, {len(spots)} spots seen:")
    print(f"    finding {min(finding):.2f} s; who it is {min(asking):.2f} s on the clock,")
    print(f"    {min(worked):.2f} s of all cores together; album {size:.1f} MB")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--animals", type=int, default=80)
    parser.add_argument("--seed", type=int, default=1986)
    parser.add_argument("--only", choices=["worlds", "curve", "proof", "time"])
    given = parser.parse_args()
    if given.only in (None, "worlds"):
        say_worlds(given.animals, given.seed)
    if given.only in (None, "curve"):
        say_curve(given.animals, given.seed)
    if given.only in (None, "proof"):
        say_proofs(given.animals, given.seed)
    if given.only in (None, "time"):
        say_time(given.seed)


if __name__ == "__main__":
    main()
