"""What the program's own closed seasons teach: measured gestations, and how signs turned out."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from breeding.animals.species.profiles import Figures
from breeding.gestation.estimate import Profile, Sign, mating_of
from breeding.gestation.learning import Counted, count_windows, is_measured
from breeding.pairings.models import Outcome
from breeding.pairings.season.exposure import Exposure, days_within
from breeding.pairings.season.facts import Facts
from breeding.pairings.season.seen import SeenSign

Date = datetime.date
DAY = datetime.timedelta(days=1)
# A premature birth says nothing of how long a whole gestation takes.
WHOLE_TERM = (Outcome.Kind.LIVE_BIRTH, Outcome.Kind.SOME_DEAD)
UNLIKELY_SDS = 4.0  # a gestation further from the prior than this is a gap in the records


@dataclass(frozen=True)
class ClosedSeason:
    """One female from one outcome to the next: whole days, and nothing of what came later."""

    female: int
    figures: Figures
    since: Date | None  # the outcome before it
    on: Date
    kind: str
    together: tuple[tuple[Date, Date], ...]  # first and last day, both counted
    signs: tuple[SeenSign, ...]
    looked: tuple[Date, ...]


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


def closed_seasons(facts: Facts, exposure: Exposure) -> Sequence[ClosedSeason]:
    """Every season that an outcome has closed, of whatever female."""
    found = []
    for female, outcomes in facts.past.outcomes.items():
        card = facts.figures_of(female)
        since: Date | None = None
        for outcome in outcomes:
            on = outcome.on
            start = since or Date.min
            together = exposure.days_with_a_male(female, since=start, until=on - DAY)
            signs = facts.past.signs.get(female, ())
            before = tuple(one for one in signs if one.speaks and start <= one.on < on)
            looked = facts.looked_at(female, start, on - DAY)
            found.append(
                ClosedSeason(female, card, since, on, outcome.kind, together, before, looked)
            )
            since = on
    return found


@dataclass(frozen=True)
class Lessons:
    """What closed seasons up to a day teach: gestations by profile, and the table of signs."""

    measured: Mapping[str, Sequence[MeasuredGestation]]
    counted: Counted
    births: int  # whose mating day is known, so that signs were counted before it
    empty: int  # seasons that ended as "was not pregnant"


@dataclass(frozen=True)
class Lesson:
    """What one closed season teaches, on whatever day it is asked.

    measured: how long she carried; None where it ended as "was not pregnant".
    """

    on: Date
    windows: Counted
    measured: MeasuredGestation | None = None


def lessons_of_each(
    closed: Iterable[ClosedSeason], priors: Mapping[str, Profile]
) -> Sequence[Lesson]:
    """From every birth whose mating day was narrow before it, and every "was not pregnant".

    Reckoned with the prior figures, from company and signs up to the last day that says
    anything: neither the birth nor what was learned from others says when she mated.
    Cost: every answer is kept under the very facts it rests on, so that only a season that is
    new or has been corrected is reckoned.
    """
    found = []
    keys = {key: _figures(prior) for key, prior in priors.items()}
    for season in closed:
        key, is_birth = season.figures.key, season.kind in WHOLE_TERM
        if key not in priors or not (is_birth or season.kind == Outcome.Kind.NOT_PREGNANT):
            continue
        mated, windows = _taught(
            season.together,
            tuple((one.on, one.kind) for one in season.signs),
            season.looked,
            season.since,
            is_birth,
            keys[key],
        )
        if not is_birth:
            found.append(Lesson(season.on, windows))
        elif mated is not None:
            days = (season.on - mated).days
            is_likely = _is_likely(days, priors[key])
            measured = MeasuredGestation(season.female, key, season.on, days, is_likely)
            found.append(Lesson(season.on, windows, measured))
    return found


def lessons_until(each: Iterable[Lesson], until: Date) -> Lessons:
    """Those of seasons that had been closed by a day, together."""
    measured: dict[str, list[MeasuredGestation]] = defaultdict(list)
    counted, births, empty = Counted(), 0, 0
    for one in each:
        if one.on > until:
            continue
        if one.measured is None:
            counted, empty = counted + one.windows, empty + 1
            continue
        measured[one.measured.profile_key].append(one.measured)
        if one.measured.is_likely:
            counted, births = counted + one.windows, births + 1
    return Lessons(measured, counted, births, empty)


def lessons_of(
    closed: Iterable[ClosedSeason], priors: Mapping[str, Profile], *, until: Date
) -> Lessons:
    """What the seasons that had been closed by a day teach."""
    each = lessons_of_each((one for one in closed if one.on <= until), priors)
    return lessons_until(each, until)


def _is_likely(days: int, prior: Profile) -> bool:
    away = abs(days - prior.gestation_mean_days)
    return away <= UNLIKELY_SDS * prior.gestation_spread_days


Key = tuple[tuple[str, float], ...]


def _figures(profile: Profile) -> tuple[Key, tuple[tuple[str, tuple[float, float]], ...]]:
    """What of a profile matters for the mating days before a birth, as a key."""
    numbers = tuple((name, getattr(profile, name)) for name in _MATTERS)
    return numbers, tuple(profile.signs.items())


_MATTERS = (
    "gestation_mean_days",
    "gestation_sd_days",
    "gestation_mean_doubt_days",
    "base_daily",
    "window_days",
)


@lru_cache(maxsize=8192)
def _taught(
    together: tuple[tuple[Date, Date], ...],
    signs: tuple[tuple[Date, str], ...],
    looked: tuple[Date, ...],
    since: Date | None,
    is_birth: bool,
    figures: tuple[Key, tuple[tuple[str, tuple[float, float]], ...]],
) -> tuple[Date | None, Counted]:
    """The most even guess of the mating day when it is narrow, and the windows counted."""
    numbers, table = figures
    profile = Profile(**dict(numbers), signs=dict(table))  # type: ignore[arg-type]
    days = days_within(together)
    seen = [Sign(on, kind) for on, kind in signs]
    if not days and not seen:
        return None, Counted()
    found = None
    if is_birth:
        last = max([*days[-1:], *(on for on, _ in signs)])
        found = mating_of(
            exposed=days,
            unknown=(),
            looked=looked,
            signs=seen,
            scans=(),
            profile=profile,
            asof=last,
            last_birth=since,
            birth_on=None,
        )
        if found.mating is None or not is_measured(found):
            return None, Counted()
    counted = count_windows(exposed=days, looked=looked, signs=seen, profile=profile, mating=found)
    return found.mating.p50 if found and found.mating else None, counted


def gestation_days(found: Collection[MeasuredGestation]) -> list[int]:
    """The likely ones, in one order whatever the order of entry."""
    return sorted(one.days for one in found if one.is_likely)
