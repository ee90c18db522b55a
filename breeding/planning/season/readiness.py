"""Who can be bred now, and what stands against it, in words; writes nothing."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, field

from django.db.models import F, Q

from breeding.animals.models import Animal, Measurement
from breeding.housing.queries import where_are
from breeding.pairings.care.rest import rests
from breeding.pairings.models import Pairing, Sighting
from breeding.pairings.season.exposure import maturity_of
from breeding.pairings.season.reading import SeasonReading, seasons, seen_on
from breeding.program.models import Program
from breeding.words.chances import pregnancy
from breeding.words.days import long_day

HEALTH_DAYS = 30  # how long a wound or refused food speaks against pairing; an assumption
LEAST_CONDITION = 3  # of five; common practice, no source


@dataclass(frozen=True)
class Candidate:
    """One animal that could be paired, with what stands against it today."""

    animal: Animal
    is_mature: bool
    maturity_known: bool
    hindrances: tuple[str, ...]  # weighty ones first; a sentence's part each: "is with Deneb"
    disc_width_mm: int | None = None
    place: str = ""
    last_birth: datetime.date | None = None
    rests_until: datetime.date | None = None
    season: SeasonReading | None = field(default=None, repr=False)

    @property
    def is_ready(self) -> bool:
        return self.is_mature and not self.hindrances


def candidates(
    animals: Sequence[Animal], program: Program, *, today: datetime.date
) -> dict[int, Candidate]:
    """By the animal's key. The number of queries does not grow with the animals."""
    keys = [one.pk for one in animals]
    females = [one for one in animals if one.sex == Animal.Sex.FEMALE]
    mature = maturity_of({one.pk: one for one in animals})
    her_season = {one.female.pk: one for one in seasons(program, asof=today, females=females)}
    resting = rests(females, program, asof=today)
    places = where_are(animals)
    widths: dict[int, int] = {}
    conditions: dict[int, int] = {}
    # The latest wins; one of an unknown day counts only where there is no other.
    in_order = (F("on").asc(nulls_first=True), "pk")
    for row in Measurement.objects.filter(animal__in=keys).order_by(*in_order):
        if row.disc_width_mm:
            widths[row.animal_id] = row.disc_width_mm
        if row.condition:
            conditions[row.animal_id] = row.condition
    hurt = _hurt(keys, program, today)
    company: dict[int, list[str]] = {}
    together = Pairing.objects.filter(withdrawn_at__isnull=True, separated_on__isnull=True)
    for pairing in together.select_related("female", "male"):
        company.setdefault(pairing.female_id, []).append(pairing.male.name)
        company.setdefault(pairing.male_id, []).append(pairing.female.name)
    found = {}
    for one in animals:
        season = her_season.get(one.pk)
        said: list[str] = []
        if not one.is_here:
            word = one.get_state_display()  # "on loan", "left", "died"
            said.append(f"is {word}" if one.state == Animal.State.ON_LOAN else word)
        if one.pk in hurt:
            said.append(hurt[one.pk])
        if season is not None:
            said += _of_season(season)
        elif one.pk in company and one.sex == Animal.Sex.MALE:
            said.append(f"is with {', '.join(company[one.pk])}")
        if (until := resting.get(one.pk)) is not None and until > today:
            said.append(f"rests until {long_day(until)} after her last birth")
        if conditions.get(one.pk, LEAST_CONDITION) < LEAST_CONDITION:
            said.append(f"is thin (condition {conditions[one.pk]} of 5)")
        since, is_known = mature[one.pk]
        if since > today:
            said.append(f"is not mature before {long_day(since)} by the species' figures")
        last = season.last_outcome if season else None
        found[one.pk] = Candidate(
            one,
            since <= today,
            is_known,
            tuple(said),
            widths.get(one.pk),
            str(places[one.pk].tank) if one.pk in places else "",
            last.on if last and last.is_birth else None,
            resting.get(one.pk),
            season,
        )
    return found


def _of_season(season: SeasonReading) -> list[str]:
    said = []
    if season.with_now:
        said.append(f"is with {', '.join(one.male.name for one in season.with_now)}")
    sure = season.estimate.chance
    if sure >= season.rules.worth_settling_chance:
        said.append(f"is {pregnancy(sure)}")
    return said


def _hurt(keys: list[int], program: Program, today: datetime.date) -> dict[int, str]:
    """The latest wound or refused food of the last month."""
    since = today - datetime.timedelta(days=HEALTH_DAYS)
    rows = Sighting.objects.filter(
        Q(severity__gte=program.separate_at_severity) | Q(kind__is_off_food=True),
        female__in=keys,
        withdrawn_at__isnull=True,
        seen_at__date__gte=since,
        seen_at__date__lte=today,
    )
    found = {}
    for row in rows.select_related("kind").order_by("seen_at"):
        on = long_day(seen_on(row))
        wound = row.severity is not None and row.severity >= program.separate_at_severity
        found[row.female_id] = (
            f"had wounds of severity {row.severity} on {on}" if wound else f"was off food on {on}"
        )
    return found
