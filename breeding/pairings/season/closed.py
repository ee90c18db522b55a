"""What the program's own closed seasons teach: measured gestations, and how signs turned out."""

import datetime
import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from breeding.gestation.estimate import Profile, Sign, estimate
from breeding.gestation.learning import PRIOR_SD_OF_MEAN_DAYS, is_measured
from breeding.pairings.models import Outcome, SignKind
from breeding.pairings.season.exposure import Exposure
from breeding.pairings.season.facts import Facts, SeenSign

Date = datetime.date
DAY = datetime.timedelta(days=1)
PREGNANT = (*Outcome.BIRTHS, Outcome.Kind.RESORBED)
# A premature birth says nothing of how long a whole gestation takes.
WHOLE_TERM = (Outcome.Kind.LIVE_BIRTH, Outcome.Kind.SOME_DEAD)
SIGN_PRIOR_SEASONS = 4.0  # what a boost says weighs like this many seasons; an assumption

UNLIKELY_SDS = 4.0  # a gestation further from the prior than this is a gap in the records


@dataclass(frozen=True)
class ClosedSeason:
    """One female from one outcome to the next: whole days, and nothing of what came later."""

    female: int
    profile_key: str
    since: Date | None  # the outcome before it
    on: Date
    kind: str
    together: tuple[tuple[Date, Date], ...]  # first and last day, both counted
    signs: tuple[SeenSign, ...]


@dataclass(frozen=True)
class MeasuredGestation:
    """Days from the most even guess of the mating to the birth, where the mating day is narrow.

    One that is not `is_likely` is no gestation of hers: the mating that led to the birth, or a
    birth in between, is not on record. It teaches nothing.
    """

    female: int
    profile_key: str
    born_on: Date
    days: int
    is_likely: bool = True


@dataclass(frozen=True)
class SignRecord:
    """How the closed seasons in which a kind of sign was seen turned out.

    expected: chance of a mating from one such sign alone by its boost, 1 - exp(-boost).
    updated: the mean of a beta distribution that starts from it with the weight of
    SIGN_PRIOR_SEASONS seasons. Not used in the estimate: in a season with this sign others were
    seen too, and company alone leads to matings, so its share is not what this sign brings.
    """

    kind: SignKind
    seasons: int
    pregnant: int

    @property
    def expected(self) -> float:
        return 1 - math.exp(-self.kind.boost)

    @property
    def updated(self) -> float:
        return (SIGN_PRIOR_SEASONS * self.expected + self.pregnant) / (
            SIGN_PRIOR_SEASONS + self.seasons
        )


def closed_seasons(facts: Facts, exposure: Exposure) -> Sequence[ClosedSeason]:
    """Every season that an outcome has closed, of whatever female."""
    found = []
    for female, outcomes in facts.past.outcomes.items():
        key = facts.figures_of(female).key
        since: Date | None = None
        for outcome in outcomes:
            on = outcome.on
            start = since or Date.min
            together = exposure.days_with_a_male(female, since=start, until=on - DAY)
            signs = facts.past.signs.get(female, ())
            before = tuple(one for one in signs if one.boost > 0 and start <= one.on < on)
            found.append(ClosedSeason(female, key, since, on, outcome.kind, together, before))
            since = on
    return found


def measured_gestations(
    closed: Iterable[ClosedSeason], priors: Mapping[str, Profile], *, until: Date
) -> dict[str, list[MeasuredGestation]]:
    """By profile: every birth up to a day whose mating day was narrow before she gave birth.

    Reckoned with the prior figures, from company and signs up to the last day that says
    anything: neither the birth nor what was learned from others says when she mated.
    Cost: every answer is kept under the very facts it rests on, so that only a season that is
    new or has been corrected is reckoned.
    """
    found: dict[str, list[MeasuredGestation]] = defaultdict(list)
    figures = {key: _figures(prior) for key, prior in priors.items()}
    for season in closed:
        if season.kind not in WHOLE_TERM or season.on > until:
            continue
        prior = priors.get(season.profile_key)
        if prior is None:
            continue
        mated = _mated_on(
            season.together,
            tuple((one.on, one.kind) for one in season.signs),
            season.since,
            figures[season.profile_key],
        )
        if mated is not None:
            days = (season.on - mated).days
            found[season.profile_key].append(
                MeasuredGestation(
                    season.female, season.profile_key, season.on, days, _is_likely(days, prior)
                )
            )
    return found


def _is_likely(days: int, prior: Profile) -> bool:
    doubt = math.hypot(prior.gestation_sd_days, PRIOR_SD_OF_MEAN_DAYS)
    return abs(days - prior.gestation_mean_days) <= UNLIKELY_SDS * doubt


Figures = tuple[float, float, float, tuple[tuple[str, float, int], ...]]


def _figures(profile: Profile) -> Figures:
    """What of a profile matters for the mating days before a birth, as a key."""
    return (
        profile.gestation_mean_days,
        profile.gestation_sd_days,
        profile.base_daily,
        tuple(sorted((kind, boost, back) for kind, (boost, back) in profile.signs.items())),
    )


@lru_cache(maxsize=8192)
def _mated_on(
    together: tuple[tuple[Date, Date], ...],
    signs: tuple[tuple[Date, str], ...],
    since: Date | None,
    figures: Figures,
) -> Date | None:
    """The most even guess of the mating day when it is narrow, else None."""
    mean, sd, base, kinds = figures
    days = [
        first + DAY * number
        for first, last in together
        for number in range((last - first).days + 1)
    ]
    if not days and not signs:
        return None
    est = estimate(
        exposed=days,
        signs=[Sign(on, kind) for on, kind in signs],
        profile=Profile(
            gestation_mean_days=mean,
            gestation_sd_days=sd,
            base_daily=base,
            signs={kind: (boost, back) for kind, boost, back in kinds},
        ),
        asof=max([*days[-1:], *(on for on, _ in signs)]),
        last_birth=since,
    )
    return est.mating.p50 if est.mating and is_measured(est) else None


def sign_records(closed: Iterable[ClosedSeason], kinds: Iterable[SignKind]) -> list[SignRecord]:
    """For each kind of sign that speaks for a mating: how the seasons with it turned out.

    "Was not pregnant" counts against it, a birth or a resorbed litter for it; a season that
    ended nobody knows how is left out.
    """
    seasons: dict[str, int] = defaultdict(int)
    pregnant: dict[str, int] = defaultdict(int)
    for season in closed:
        if season.kind == Outcome.Kind.UNKNOWN:
            continue
        for key in {one.kind for one in season.signs}:
            seasons[key] += 1
            pregnant[key] += season.kind in PREGNANT
    return [
        SignRecord(kind, seasons[kind.key], pregnant[kind.key]) for kind in kinds if kind.boost > 0
    ]


def gestation_days(found: Collection[MeasuredGestation]) -> list[int]:
    """The likely ones, in one order whatever the order of entry."""
    return sorted(one.days for one in found if one.is_likely)
