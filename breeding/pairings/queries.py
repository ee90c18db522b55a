"""Questions about pairings that gather several rows for a page; they write nothing."""

import datetime
from dataclasses import dataclass

from django.db.models import Max, Q, QuerySet

from breeding.animals.models import Animal
from breeding.animals.queries import PairWords, pair_words
from breeding.pairings.allowed import check_two
from breeding.pairings.models import Pairing, Sighting
from breeding.pairings.season.disagreements import Disagreement, disagreements
from breeding.pairings.season.facts import HERE
from breeding.program.models import Program

__all__ = [
    "HERE",
    "Disagreement",
    "PairCheck",
    "check_pair",
    "disagreements",
    "everybody_here",
    "females_here",
    "females_to_log",
    "males_here",
    "recent_sightings",
]


def females_here() -> QuerySet[Animal]:
    return Animal.objects.filter(sex=Animal.Sex.FEMALE, state__in=HERE)


def everybody_here() -> QuerySet[Animal]:
    """Whoever lives in the program, of any sex and age."""
    return Animal.objects.filter(state__in=HERE)


def males_here() -> QuerySet[Animal]:
    return Animal.objects.filter(sex=Animal.Sex.MALE, state__in=HERE)


@dataclass(frozen=True)
class PairCheck:
    """What the page shows before a pairing is saved."""

    words: PairWords
    level: str  # "clear", "caution" or "reason"


def check_pair(female: Animal, male: Animal, program: Program) -> PairCheck:
    """Expected F of the young, why, and what the program's thresholds say of it."""
    check_two(female, male)
    words = pair_words(male, female)
    inbreeding = float(words.inbreeding)
    level = "clear"
    if inbreeding >= program.inbreeding_needs_reason:
        level = "reason"
    elif inbreeding >= program.inbreeding_caution:
        level = "caution"
    return PairCheck(words, level)


def females_to_log(today: datetime.date) -> list[Animal]:
    """Mature enough to be logged: those with a male first, then those seen lately, then the rest.

    The first four are what a thumb reaches without scrolling.
    """
    found = (
        females_here()
        .select_related("portrait")
        .annotate(
            last_seen=Max("sightings__seen_at", filter=Q(sightings__withdrawn_at__isnull=True))
        )
        .order_by("call_name", "code")
    )
    together = {
        pairing.female_id: pairing.male.name
        for pairing in Pairing.objects.filter(
            separated_on__isnull=True, withdrawn_at__isnull=True
        ).select_related("male")
    }
    females = [female for female in found if not _is_pup(female, today)]
    for female in females:
        female.company = together.get(female.pk, "")  # type: ignore[attr-defined]
    return sorted(
        females,
        key=lambda one: (
            not one.company,  # type: ignore[attr-defined]
            -(one.last_seen.timestamp() if one.last_seen else 0),  # type: ignore[attr-defined]
        ),
    )


PUP_DAYS = 365  # younger females are not offered for signs of courtship; common practice


def _is_pup(female: Animal, today: datetime.date) -> bool:
    return female.born_on is not None and (today - female.born_on).days < PUP_DAYS


def recent_sightings(count: int = 6) -> list[Sighting]:
    """The latest, withdrawn ones left out: one query."""
    return list(
        Sighting.objects.filter(withdrawn_at__isnull=True).select_related(
            "female", "kind", "male", "recorded_by"
        )[:count]
    )
