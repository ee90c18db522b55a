"""The figures of a species as they stand, and as the program's own births have moved them."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from breeding.animals.species.profiles import Figures
from breeding.gestation.estimate import Profile
from breeding.gestation.learning import learn, learn_signs
from breeding.pairings.models import SignKind
from breeding.pairings.season.past.closed import (
    ClosedSeason,
    Lessons,
    MeasuredGestation,
    gestation_days,
    lessons_of,
)
from breeding.words.chances import seen_words


def profile_of(figures: Figures, kinds: Iterable[SignKind]) -> Profile:
    """The model's figures for a species, with the kinds of signs as they are set."""
    assumed = Profile()

    def of(name: str) -> float:
        return figures.get(name, getattr(assumed, name))

    speaking = sorted(
        (kind for kind in kinds if kind.shares), key=lambda kind: (-kind.strength, kind.key)
    )
    return Profile(
        gestation_mean_days=of("gestation_mean_days"),
        gestation_sd_days=of("gestation_sd_days"),
        gestation_mean_doubt_days=of("gestation_mean_doubt_days"),
        base_daily=of("base_daily"),
        unknown_factor=of("unknown_factor"),
        signs={kind.key: kind.shares for kind in speaking if kind.shares},
        scan_detectable_days=of("scan_detectable_days"),
        scan_sensitivity=of("scan_sensitivity"),
        scan_specificity=of("scan_specificity"),
    )


@dataclass(frozen=True)
class Learned:
    """A species' figures as they stand, and as the program's own seasons have moved them."""

    prior: Profile
    profile: Profile
    births: int


def priors_of(
    asked: Mapping[str, Figures], closed: Sequence[ClosedSeason], kinds: Mapping[str, SignKind]
) -> dict[str, Profile]:
    """The figures as they stand, of those asked for and of whoever closed a season, by key."""
    every = {**asked, **{season.figures.key: season.figures for season in closed}}
    return {key: profile_of(card, kinds.values()) for key, card in every.items()}


def learned_from(
    prior: Profile, lessons: Lessons, key: str
) -> tuple[Learned, list[MeasuredGestation]]:
    """What lessons make of one set of figures, and the births that rests on."""
    births = sorted(lessons.measured.get(key, ()), key=lambda birth: birth.born_on)
    days = gestation_days(births)
    return Learned(prior, learn_signs(learn(prior, days), lessons.counted), len(days)), births


def learned_of_all(
    closed: Sequence[ClosedSeason],
    cards: Iterable[Figures],
    kinds: Mapping[str, SignKind],
    *,
    asof: datetime.date,
) -> dict[str, tuple[Learned, list[MeasuredGestation]]]:
    """For every set of figures, by its key: what was learned, and the births it rests on.

    Gestation is learned species by species, signs from all of the program together.
    """
    asked = {card.key: card for card in cards}
    priors = priors_of(asked, closed, kinds)
    lessons = lessons_of(closed, priors, until=asof)
    return {key: learned_from(priors[key], lessons, key) for key in asked}


@dataclass(frozen=True)
class LearnedSign:
    """One kind of sign as set and as the program's own seasons have moved it, in words."""

    label: str
    now: str
    as_set: str
    after: float  # windows in which it was the strongest sign, after a mating
    without: float


@dataclass(frozen=True)
class LearnedSigns:
    """What closed seasons have taught of signs, from how many of which kind."""

    births: int
    empty: int
    after: float  # looked-at windows in all
    without: float
    rows: tuple[LearnedSign, ...]


def signs_of_closed(
    closed: Sequence[ClosedSeason],
    kinds: Mapping[str, SignKind],
    unknown: Figures,
    *,
    asof: datetime.date,
) -> LearnedSigns:
    """The table of signs as these seasons have moved it, as far as they had closed by a day.

    unknown: figures of an animal of no species.
    """
    lessons = lessons_of(closed, priors_of({}, closed, kinds), until=asof)
    prior = profile_of(unknown, kinds.values())
    learnt = learn_signs(prior, lessons.counted)
    after, without = lessons.counted.windows
    rows = [
        LearnedSign(
            kinds[key].said,
            seen_words(*learnt.signs[key]),
            seen_words(*prior.signs[key]),
            lessons.counted.after.get(key, 0.0),
            lessons.counted.without.get(key, 0.0),
        )
        for key in prior.signs
    ]
    return LearnedSigns(lessons.births, lessons.empty, after, without, tuple(rows))
