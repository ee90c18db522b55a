"""Bite marks and other harm: what was seen over time, and what asks for separation now."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Q

from breeding.animals.models import Animal
from breeding.gestation.actions import Action
from breeding.pairings.care.severity import Degree, degree
from breeding.pairings.models import Sighting
from breeding.pairings.season.reading import SeasonReading, seen_on
from breeding.words.days import long_day
from breeding.words.language import tell


@dataclass(frozen=True)
class Wound:
    """One look at her marks: the day, how bad they were, and the photograph when there is one."""

    sighting: Sighting
    on: datetime.date
    degree: Degree | None


def wounds_of(female: Animal) -> list[Wound]:
    """Every look at her marks that counts, oldest first: one query."""
    marks = Q(kind__asks_severity=True) | Q(severity__isnull=False)
    seen = female.sightings.filter(marks, withdrawn_at__isnull=True)
    return wounds_among(seen.select_related("kind", "photograph", "male", "recorded_by"))


def wounds_among(sightings: Iterable[Sighting]) -> list[Wound]:
    """Those of these sightings that are looks at marks, withdrawn ones left out, oldest first."""
    looks = [
        Wound(one, seen_on(one), degree(one.severity))
        for one in sightings
        if (one.kind.asks_severity or one.severity is not None) and not one.is_withdrawn
    ]
    return sorted(looks, key=lambda look: (look.sighting.seen_at, look.sighting.pk))


def latest_wounds(animal: Animal, most: int) -> list[Sighting]:
    """The latest looks at marks on one: one query."""
    rows = animal.sightings.filter(withdrawn_at__isnull=True)
    rows = rows.filter(Q(kind__asks_severity=True) | Q(severity__isnull=False))
    return list(rows.select_related("kind", "photograph").order_by("-seen_at", "-pk")[:most])


def course_words(wounds: Sequence[Wound]) -> str:
    """From the worst look to the latest in a sentence; nothing while there is only one."""
    rated = [one for one in wounds if one.degree is not None]
    if len(rated) < 2:
        return ""
    worst = max(rated, key=lambda one: (one.degree.number if one.degree else 0, one.on))
    last = rated[-1]
    if worst is last or worst.degree is None or last.degree is None:
        return tell(
            "Worst at the last look: {degree} on {day}.", degree=last.degree, day=long_day(last.on)
        )
    named = {
        "degree": worst.degree,
        "day": long_day(worst.on),
        "last_degree": last.degree,
        "last_day": long_day(last.on),
    }
    if worst.degree == last.degree:
        return tell(
            "Worst: {degree} on {day}; as bad as then: {last_degree} on {last_day}.", **named
        )
    return tell("Worst: {degree} on {day}; better since: {last_degree} on {last_day}.", **named)


@dataclass(frozen=True)
class Harm:
    """What harms her now: with a male, to be separated from; or apart, to be looked after."""

    reason: str
    action: Action | None

    @property
    def is_with_male(self) -> bool:
        return self.action is not None


LOOK_BACK_DAYS = 3  # how long a wound or a refused meal seen apart from males stays on top


def harm_of(season: SeasonReading) -> Harm | None:
    """Harm in company, whenever it was; apart from males, that of the last days."""
    for action in season.actions:
        if action.kind == "separate_now":
            return Harm(action.reason, action)
    if season.together_since is not None:
        return None
    since = season.asof - datetime.timedelta(days=LOOK_BACK_DAYS)
    fresh = [one for one in season.sightings if seen_on(one) >= since]
    hurt = [one for one in fresh if (one.severity or 0) >= season.rules.severity_limit]
    fasts = [on for on in season.off_food if on >= since]
    said = []
    if hurt:
        worst = max(hurt, key=lambda one: (one.severity or 0, one.seen_at))
        said.append(
            tell(
                "Marks of severity {severity} on {day}.",
                severity=worst.severity,
                day=long_day(seen_on(worst)),
            )
        )
    if fasts:
        said.append(tell("Off her food on {day}.", day=long_day(fasts[-1])))
    return Harm(" ".join(said), None) if said else None
