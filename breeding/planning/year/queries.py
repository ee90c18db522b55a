"""The young of a year from the rows, with what became of them; writes nothing."""

import datetime
from collections import defaultdict
from dataclasses import dataclass

from breeding.animals import lineage
from breeding.animals.models import Animal, PossibleSire
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.health.models import Death
from breeding.litters.models import Litter, Pup
from breeding.planning.year.report import YearReport, report_of
from breeding.planning.year.young import Fate, Young
from breeding.words.language import tell

ALL = "all"
FATES: dict[str, Fate] = {Animal.State.DIED: "died", Animal.State.LEFT: "left"}
LEAST_DAYS = 42.0  # where a species says nothing


@dataclass(frozen=True)
class YearChoice:
    """The years with a litter, the latest first, and the one asked for; None: all of them.

    asked_in_vain: what was asked for, when it is no year with a litter.
    """

    years: list[int]
    year: int | None
    asked_in_vain: str = ""

    @property
    def label(self) -> str:
        return tell("all years") if self.year is None else str(self.year)

    @property
    def key(self) -> str:
        return ALL if self.year is None else str(self.year)


def choice_of(asked: str) -> YearChoice:
    """The year that is asked for; nothing asked: the latest with a litter. One query."""
    days = Litter.objects.filter(withdrawn_at__isnull=True).dates("born_on", "year", order="DESC")
    years = [one.year for one in days]
    if asked == ALL:
        return YearChoice(years, None)
    known = next((one for one in years if str(one) == asked), None)
    latest = years[0] if years else None
    return YearChoice(years, known or latest, "" if known or not asked else asked)


def year_report(choice: YearChoice, *, asof: datetime.date) -> YearReport:
    """The figures of those born in that year, as they stand on a day: five queries."""
    rows = Litter.objects.filter(withdrawn_at__isnull=True)
    if choice.year is not None:
        rows = rows.filter(born_on__year=choice.year)
    litters = {pk: (dam, born) for pk, dam, born in rows.values_list("pk", "dam_id", "born_on")}
    pups = list(Pup.objects.filter(litter__in=rows).select_related("animal"))
    sires = _sires_of(pups)
    causes = _causes([one.animal_id for one in pups if one.animal_id])
    profiles, shares = all_profiles(), lineage.current().shares
    young = []
    for pup in pups:
        dam, born_on = litters[pup.litter_id]
        card = profiles.of(shares.get(pup.animal_id, {})) if pup.animal_id else profiles.unknown
        young.append(_young(pup, dam, born_on, sires[pup.pk], causes, card, asof))
    named = {dam for dam, _ in litters.values()} | {key for one in young for key in one.sires}
    names = {one.pk: one.name for one in Animal.objects.filter(pk__in=named)}
    return report_of(
        young, {pk: dam for pk, (dam, _) in litters.items()}, names, label=choice.label
    )


def _young(
    pup: Pup,
    dam: int,
    born_on: datetime.date,
    sires: tuple[int, ...],
    causes: dict[int, str],
    card: Figures,
    asof: datetime.date,
) -> Young:
    animal = pup.animal
    fate: Fate = "here" if pup.alive else "dead at birth"
    if animal is not None:
        fate = FATES.get(animal.state, "here")
    return Young(
        litter=pup.litter_id,
        born_on=born_on,
        dam=dam,
        sires=sires,
        sex=animal.sex if animal is not None else pup.sex,
        fate=fate,
        days=_days(animal, fate, born_on, asof),
        leaves_at=round(card.get("leave_least_days", LEAST_DAYS)),
        cause=causes.get(animal.pk, "") if animal is not None else "",
    )


def _days(
    animal: Animal | None, fate: Fate, born_on: datetime.date, asof: datetime.date
) -> int | None:
    """Its age on the last day of which something is known; None where no such day is on record."""
    if animal is None:
        return 0 if fate == "dead at birth" else None
    last = asof if fate == "here" else animal.state_on
    return None if last is None or last < born_on else (last - born_on).days


def _sires_of(pups: list[Pup]) -> dict[int, tuple[int, ...]]:
    """The sires of each pup; one that was never an animal has those of its litter."""
    possible: dict[int, list[int]] = defaultdict(list)
    keys = [one.animal_id for one in pups if one.animal_id]
    rows = PossibleSire.objects.filter(animal__in=keys).order_by("pk")
    for animal, sire in rows.values_list("animal_id", "sire_id"):
        possible[animal].append(sire)
    of_litter: dict[int, list[int]] = defaultdict(list)
    found: dict[int, tuple[int, ...]] = {}
    for pup in pups:
        if pup.animal is None:
            continue
        sure = pup.animal.sire_id
        found[pup.pk] = (sure,) if sure else tuple(possible[pup.animal.pk])
        of_litter[pup.litter_id] += found[pup.pk]
    for pup in pups:
        found.setdefault(pup.pk, tuple(dict.fromkeys(of_litter[pup.litter_id])))
    return found


def _causes(animals: list[int]) -> dict[int, str]:
    """What each of these died of, as it is on record; suspected unless a laboratory said so."""
    found = {}
    for one in Death.objects.filter(animal__in=animals):
        found[one.animal_id] = _cause_words(one)
    return found


def _cause_words(death: Death) -> str:
    if death.cause == Death.Cause.UNKNOWN:
        return tell("not known")
    if death.is_by_laboratory:
        return str(death.get_cause_display())
    return tell("{cause}, suspected", cause=death.get_cause_display())
