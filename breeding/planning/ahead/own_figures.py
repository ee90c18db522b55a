"""The program's own rates of litters, deaths and departures, for looking ahead."""

import datetime
import re
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Q

from breeding.litters.models import Litter, Pup
from breeding.litters.size import BACK_YEARS, LEAST_RECORDS, YEAR, usual_litter
from breeding.planning.state.members import Member
from breeding.words.language import message, tell
from pedigree.ahead.assumptions import Assumptions

ASSUMPTION, TYPED_IN = message("assumption"), message("typed in")
KEPT = re.compile(r"from (?P<number>\d+) (?P<counted>.+) here, of the last (?P<years>\d+) years")
FROM_RECORDS = {
    "litters": message("from {number} litters here, of the last {years} years"),
    "years of grown females": message(
        "from {number} years of grown females here, of the last {years} years"
    ),
    "living young of known sex": message(
        "from {number} living young of known sex here, of the last {years} years"
    ),
    "young whose first year is over": message(
        "from {number} young whose first year is over here, of the last {years} years"
    ),
    "young that did not die": message(
        "from {number} young that did not die here, of the last {years} years"
    ),
    "years of grown animals": message(
        "from {number} years of grown animals here, of the last {years} years"
    ),
}


@dataclass(frozen=True)
class OwnFigure:
    """One rate with where it comes from."""

    name: str
    value: float
    records: int  # how many of `counted`; 0: not from records here
    counted: str  # what the rate is of: a key of FROM_RECORDS

    @property
    def basis(self) -> str:
        """Where the figure comes from, as it is kept with a look ahead: in English.

        >>> OwnFigure("deaths_grown", 0.04, 50, "years of grown animals").basis
        'from 50 years of grown animals here, of the last 5 years'
        """
        if not self.records:
            return ASSUMPTION
        return FROM_RECORDS[self.counted].format(number=self.records, years=BACK_YEARS)


def basis_words(kept: str) -> str:
    """Where a figure comes from, in the language of whoever reads; what is kept is English.

    >>> basis_words("from 50 years of grown animals here, of the last 5 years")
    'from 50 years of grown animals here, of the last 5 years'
    """
    found = KEPT.fullmatch(kept)
    if found and found["counted"] in FROM_RECORDS:
        return tell(
            FROM_RECORDS[found["counted"]], number=int(found["number"]), years=int(found["years"])
        )
    return tell(kept)


def own_figures(members: Sequence[Member], today: datetime.date) -> dict[str, OwnFigure]:
    """Of the last five years, where there are enough records; else the assumptions. Four queries.

    Those gone on a day nobody knows speak for no rate.
    """
    members = [one for one in members if not one.is_gone_since_nobody_knows]
    since = today - BACK_YEARS * YEAR
    litters = list(
        Litter.objects.filter(withdrawn_at__isnull=True, born_on__gt=since, born_on__lte=today)
    )
    counting = Q(animal__withdrawn_at__isnull=True)  # born dead, it is no animal
    pups = list(Pup.objects.filter(counting, litter__in=litters))
    alive = [pup for pup in pups if pup.alive]
    sexed = [pup for pup in alive if pup.sex in ("F", "M")]
    dam_years = {(litter.dam_id, litter.born_on.year) for litter in litters}
    grown_years = _grown_female_years(members, since, today)
    first = _first_year(members, since, today)
    grown = _grown(members, since, today)
    per_dam_year = len(litters) / len(dam_years) if dam_years else 0.0
    size = usual_litter(today)
    females = sum(pup.sex == "F" for pup in sexed)
    found = [
        _rate("females_paired", len(dam_years), grown_years, "years of grown females"),
        _figure("litters_per_pair", per_dam_year, len(litters), "litters"),
        OwnFigure("young_per_litter", size.mean, size.litters, "litters"),
        _rate("females_at_birth", females, len(sexed), "living young of known sex"),
        _rate("deaths_first_year", first.died, first.all, "young whose first year is over"),
        _rate("departures_young", first.left, first.all - first.died, "young that did not die"),
        _rate("deaths_grown", grown.died, grown.all, "years of grown animals"),
        _rate("departures_grown", grown.left, grown.all, "years of grown animals"),
    ]
    return {one.name: one for one in found}


def _rate(name: str, part: float, whole: float, counted: str) -> OwnFigure:
    return _figure(name, min(part / whole, 1.0) if whole else 0.0, whole, counted)


def _figure(name: str, value: float, records: float, counted: str) -> OwnFigure:
    """The program's own figure; with too few records the assumption."""
    if records < LEAST_RECORDS:
        return OwnFigure(name, getattr(Assumptions(), name), 0, counted)
    return OwnFigure(name, value, round(records), counted)


@dataclass(frozen=True)
class _Fates:
    all: float
    died: int
    left: int


def _first_year(members: Sequence[Member], since: datetime.date, today: datetime.date) -> _Fates:
    """Those born here in these years, long enough ago to know how their first year ended."""
    known = [
        one
        for one in members
        if one.is_born_here and one.born_on is not None and since < one.born_on <= today - YEAR
    ]
    gone = [one for one in known if one.until and one.born_on and one.until < one.born_on + YEAR]
    died = sum(1 for one in gone if one.died)
    return _Fates(len(known), died, len(gone) - died)


def _grown(members: Sequence[Member], since: datetime.date, today: datetime.date) -> _Fates:
    """Animal-years after the first, and how many of them ended in a death or a departure."""
    years, died, left = 0.0, 0, 0
    for one in members:
        begin = max(since, (one.born_on + YEAR) if one.born_on else since, one.since or since)
        end = min(today, one.until or today)
        if end > begin:
            years += (end - begin).days / 365.25
            if one.until is not None and begin < one.until <= today:
                died += one.died
                left += not one.died
    return _Fates(years, died, left)


def _grown_female_years(
    members: Sequence[Member], since: datetime.date, today: datetime.date
) -> float:
    years = 0.0
    grown_after = datetime.timedelta(days=Assumptions().first_breeding_female * 365.25)
    for one in members:
        if one.sex == "F":
            begin = max(
                since, (one.born_on + grown_after) if one.born_on else since, one.since or since
            )
            years += max((min(today, one.until or today) - begin).days, 0) / 365.25
    return years
