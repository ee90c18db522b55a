"""The figures of a species as they stand, and as the program's own births have moved them."""

import datetime
from collections import OrderedDict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from breeding.animals import revisions
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.gestation.estimate import Profile
from breeding.gestation.learning import learn
from breeding.pairings.models import SignKind
from breeding.pairings.season.closed import (
    ClosedSeason,
    MeasuredGestation,
    closed_seasons,
    gestation_days,
    measured_gestations,
)

_kinds: "OrderedDict[str, dict[str, SignKind]]" = OrderedDict()


def kinds_by_key() -> dict[str, SignKind]:
    """Every kind of sign; no query while they stay as they are."""
    return revisions.kept(_kinds, revisions.current().figures, _read_kinds)


def _read_kinds() -> dict[str, SignKind]:
    return {kind.key: kind for kind in SignKind.objects.all()}


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


def learned_of_all(*, asof: datetime.date) -> dict[str, tuple[Learned, list[MeasuredGestation]]]:
    """For every profile, by its key: what was learned, and the births it was learned from."""
    kinds = kinds_by_key()
    cards = all_profiles().every
    priors = {card.key: profile_of(card, kinds.values()) for card in cards}
    closed = closed_seasons()
    measured = measured_gestations(closed, priors, until=asof)
    learned = learned_profiles(closed, cards, kinds, until=asof)
    return {
        key: (one, sorted(measured.get(key, []), key=lambda birth: birth.born_on))
        for key, one in learned.items()
    }
