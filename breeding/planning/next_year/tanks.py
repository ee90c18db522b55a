"""Which tanks litters of the season can have, and which of them are needed for others by then."""

import datetime
from collections import defaultdict
from collections.abc import Mapping, Sequence

from django.db.models import F

from breeding.animals import lineage
from breeding.animals.growth.reading import MeasuredProgram
from breeding.animals.models import Animal
from breeding.animals.species.profiles import all_profiles
from breeding.housing.queries import free_tanks, present_stays
from breeding.planning.next_year.expectations import LeaveDays, gestation_days
from breeding.planning.next_year.months import TO_MATING_DAYS, Expected, expected_litter
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.told.under_way import Settled, UnderWay
from breeding.program.unchanged.growing import kept_while_growing
from breeding.program.unchanged.values import kept_while_unchanged
from breeding.words.days import short_day
from breeding.words.language import tell

Date = datetime.date
YOUNG_DAYS = 365  # whoever is younger is young that leave, in a tank that is free after them


def tanks_for_litters(
    free: Sequence[str], measured: MeasuredProgram, today: Date
) -> tuple[str, ...]:
    """Tanks with nobody in them, and those with young that leave before a new litter is born, each
    as it is said: "North (free)", "South (its young can leave from 4 Feb 2027)". Two queries."""
    said = [tell("{tank} (free)", tank=name) for name in free]
    leaves = LeaveDays(measured)
    for name, youngest in _with_young(today).items():
        figures = all_profiles().of(lineage.current().shares.get(youngest.pk, {}))
        days = leaves.of(youngest, figures)
        born = youngest.born_on or today
        on = born + datetime.timedelta(days=round(days))
        if on <= today:
            said.append(tell("{tank} (its young can leave by now)", tank=name))
        else:
            said.append(
                tell(
                    "{tank} (its young can leave from {day})",
                    tank=name,
                    day=short_day(on, today),
                )
            )
    return tuple(said)


def names_of_free_tanks(today: Date) -> Sequence[str]:
    """Of the tanks with nobody in them."""
    return kept_while_unchanged(
        ("names of free tanks", today), lambda: [tank.name for tank in free_tanks(today)]
    )


def _with_young(today: Date) -> Mapping[str, Animal]:
    """`_youngest`; kept until an animal or a stay is written: nobody may change them."""
    return kept_while_growing(("tanks with young", today), lambda: _youngest(today), {})


def _youngest(today: Date) -> dict[str, Animal]:
    """The youngest in each tank with young of the last year and with nobody else but their dams,
    by the tank's name: two queries."""
    since = today - datetime.timedelta(days=YOUNG_DAYS)
    inside: dict[str, list[tuple[int, Date | None, int | None]]] = defaultdict(list)
    stays = present_stays().order_by("tank__name", F("animal__born_on").asc(nulls_first=True))
    asked = stays.values_list("tank__name", "animal", "animal__born_on", "animal__dam")
    for name, pk, born, dam in asked:
        inside[name].append((pk, born, dam))
    youngest = {}
    for name, all_of_it in inside.items():
        dams = {dam for _, born, dam in all_of_it if born is not None and born > since}
        if dams and all(
            pk in dams or (born is not None and born > since) for pk, born, _ in all_of_it
        ):
            youngest[name] = all_of_it[-1][0]
    animals = Animal.objects.in_bulk(youngest.values())
    return {name: animals[pk] for name, pk in youngest.items()}


def to_expect(
    found: UnderWay, per_litter: float, measured: MeasuredProgram, today: Date
) -> list[tuple[Settled, Expected]]:
    """The litters of what is under way or planned; one that is due by now counts as born today."""
    leaves = LeaveDays(measured)
    return [(one, _expected(one, per_litter, leaves, today)) for one in found.everybody]


def _expected(one: Settled, per_litter: float, leaves: LeaveDays, today: Date) -> Expected:
    female = one.female
    days = leaves.of(female.animal, female.figures)
    if one.born_on is not None:
        born = max(today, one.born_on)
        return Expected(born, per_litter, born + datetime.timedelta(days=round(days)))
    begins = max(today, one.planned.not_before) if one.planned else today
    return expected_litter(
        begins, gestation_days=gestation_days(female), young=per_litter, leave_days=days
    )


def still_there(
    litters: Sequence[tuple[Settled, Expected]], females: Sequence[Candidate], today: Date
) -> tuple[str, ...]:
    """Dams of those whose young still need a tank when the first litter of this plan is born."""
    if not females:
        return ()
    soonest = min(gestation_days(one) for one in females)
    first = today + datetime.timedelta(days=TO_MATING_DAYS + round(soonest))
    return tuple(one.female.animal.name for one, litter in litters if litter.leaves_on > first)
