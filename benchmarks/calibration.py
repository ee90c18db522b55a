"""How often the chances that are said come true, and how many births keep the announced window.

In worlds that do not go by the model's own assumptions: marks follow matings and come by chance.

    python -m benchmarks.calibration [--seasons 4000] [--seed 1922]
"""

import argparse
import datetime
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from breeding.gestation import Profile, Sign, estimate
from breeding.gestation.profile import MATING_SEEN
from tests.gestation.world import Season, World, season

BINS = 10
OWN = Profile()
# name -> how a season is drawn, and the figures it is reckoned with
Draw = Callable[[np.random.Generator], Season]
FOLLOW = World()
WORLDS: dict[str, tuple[Draw, Profile]] = {
    "the model's own": (lambda random: own_season(random), OWN),
    "marks after 60 %, by chance 3 %, looked daily": (lambda random: season(FOLLOW, random), OWN),
    "the same, looked every second day": (
        lambda random: season(replace(FOLLOW, looked_every_days=2), random),
        OWN,
    ),
    "marks after 90 %, by chance 1 %": (
        lambda random: season(
            replace(FOLLOW, marks_after_mating=0.90, marks_by_chance=0.01), random
        ),
        OWN,
    ),
    "mean off by a week, no doubt": (
        lambda random: season(replace(FOLLOW, gestation_mean_days=117.0), random),
        OWN,
    ),
    "mean off by a week, doubt of 7 days": (
        lambda random: season(replace(FOLLOW, gestation_mean_days=117.0), random),
        replace(OWN, gestation_mean_doubt_days=7.0),
    ),
}


def own_season(random: np.random.Generator) -> Season:
    """A season in which each class of window is seen as often as the profile says.

    Windows follow each other without sharing days; a mating begins one.
    """
    plain = season(replace(FOLLOW, marks_after_mating=0.0, marks_by_chance=0.0), random)
    kinds = [*OWN.signs, ""]
    after = [*(one for one, _ in OWN.signs.values()), OWN.nothing_after]
    without = [*(one for _, one in OWN.signs.values()), OWN.nothing_without]
    signs, place = [], 0
    while place < len(plain.company):
        on = plain.company[place]
        mates = plain.mated_on == on
        kind = kinds[random.choice(len(kinds), p=after if mates else without)]
        if kind:
            signs.append(Sign(on, kind))
        step = OWN.window_days
        if not mates and plain.mated_on in plain.company[place : place + step]:
            step = plain.company.index(plain.mated_on) - place
        place += step
    return replace(plain, signs=signs)


def main() -> None:
    """Every world: ten bins of chances, and the share of births inside the announced window."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--seasons", type=int, default=4000)
    asked.add_argument("--seed", type=int, default=1922)
    chosen = asked.parse_args()
    for name, (draw, profile) in WORLDS.items():
        random = np.random.default_rng(chosen.seed)
        print(f"\n{name}")
        for line in _lines([draw(random) for _ in range(chosen.seasons)], profile):
            print(f"  {line}")


def _lines(seasons: list[Season], profile: Profile) -> Iterator[str]:
    found = [
        estimate(
            exposed=one.company,
            looked=one.looked,
            signs=one.signs,
            profile=profile,
            asof=one.last,
        )
        for one in seasons
    ]
    chances = np.array([est.chance for est in found])
    pregnant = np.array([one.mated_on is not None for one in seasons])
    for low in range(BINS):
        within = np.minimum((chances * BINS).astype(int), BINS - 1) == low
        if within.any():
            said, came = chances[within].mean(), pregnant[within].mean()
            span = f"{low / BINS:.1f}-{(low + 1) / BINS:.1f}"
            yield f"{span}: said {said:.2f}, came true {came:.2f} ({within.sum()} seasons)"
    inside = [
        est.announced.p05 <= one.born_on <= est.announced.p95
        for one, est in zip(seasons, found, strict=True)
        if one.born_on is not None and est.announced is not None
    ]
    yield f"announced window held {np.mean(inside):.3f} of {len(inside)} births"
    seen = [
        _is_kept(one.mated_on, one.born_on, profile)
        for one in seasons
        if one.mated_on is not None and one.born_on is not None
    ]
    yield f"with the mating itself seen it held {np.mean(seen):.3f}"


def _is_kept(mated_on: datetime.date, born_on: datetime.date, profile: Profile) -> bool:
    """Whether a birth falls into the window announced when the mating itself was seen."""
    mating = Sign(mated_on, MATING_SEEN)
    announced = estimate(signs=[mating], profile=profile, asof=mated_on).announced
    return announced is not None and announced.p05 <= born_on <= announced.p95


if __name__ == "__main__":
    main()
