"""The figures of a species as they stand, and as the program's own births have moved them."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from breeding.animals.species.profiles import Figures
from breeding.gestation.estimate import Profile
from breeding.gestation.learning import learn
from breeding.pairings.models import SignKind
from breeding.pairings.season.closed import (
    ClosedSeason,
    MeasuredGestation,
    gestation_days,
    measured_gestations,
)


def profile_of(figures: Figures, kinds: Iterable[SignKind]) -> Profile:
    """The model's figures for a species, with the kinds of signs as they are set."""
    assumed = Profile()

    def of(name: str) -> float:
        return figures.get(name, getattr(assumed, name))

    return Profile(
        gestation_mean_days=of("gestation_mean_days"),
        gestation_sd_days=of("gestation_sd_days"),
        base_daily=of("base_daily"),
        signs={kind.key: (kind.boost, kind.days_back) for kind in kinds},
        scan_detectable_days=of("scan_detectable_days"),
        scan_sensitivity=of("scan_sensitivity"),
        scan_specificity=of("scan_specificity"),
    )


@dataclass(frozen=True)
class Learned:
    """A species' figures as they stand, and as the program's own births have moved them."""

    prior: Profile
    profile: Profile
    births: int


def learned_profiles(
    closed: Sequence[ClosedSeason],
    cards: Iterable[Figures],
    kinds: Mapping[str, SignKind],
    *,
    until: datetime.date,
) -> dict[str, Learned]:
    """For each set of figures, by its key: what births up to a day have taught."""
    priors = {card.key: profile_of(card, kinds.values()) for card in cards}
    measured = measured_gestations(closed, priors, until=until)
    found = {}
    for key, prior in priors.items():
        days = gestation_days(measured.get(key, ()))
        found[key] = Learned(prior, learn(prior, days), len(days))
    return found


def learned_of_all(
    closed: Sequence[ClosedSeason],
    cards: Sequence[Figures],
    kinds: Mapping[str, SignKind],
    *,
    asof: datetime.date,
) -> dict[str, tuple[Learned, list[MeasuredGestation]]]:
    """For every set of figures, by its key: what was learned, and the births it rests on."""
    priors = {card.key: profile_of(card, kinds.values()) for card in cards}
    measured = measured_gestations(closed, priors, until=asof)
    learned = learned_profiles(closed, cards, kinds, until=asof)
    return {
        key: (one, sorted(measured.get(key, []), key=lambda birth: birth.born_on))
        for key, one in learned.items()
    }
