"""Of whom anything is on record that a season could rest on."""

import datetime
import functools
import operator
from collections.abc import Mapping

from django.db.models import Exists, OuterRef, Q

from breeding.animals.models import Animal
from breeding.pairings.models import Outcome, Pairing, Scan, Sighting
from breeding.pairings.season.exposure import exposure_of, maturity_of
from breeding.pairings.season.facts import gather_together
from breeding.program.parts import in_parts
from breeding.program.problems.several import named_in


def may_have_a_season(asked: Mapping[Animal, datetime.date]) -> set[int]:
    """Those, by key, that had company up to a day of their own, or were ever lent, seen, scanned
    or gave birth; no males.

    Of the others there is no chance of pups as of that day. Some ten queries for many.
    """
    females = [one for one in asked if one.sex != Animal.Sex.MALE]
    found: set[int] = set()
    for part in in_parts(females):
        together = gather_together(part)
        exposure = exposure_of(together)
        found |= {
            one.pk
            for one in part
            if exposure.is_with_any(one.pk, datetime.date.min, asked[one])
            or together.loans.get(one.pk)
        }
    for model in (Sighting, Scan, Outcome):
        counting = model._base_manager.filter(withdrawn_at__isnull=True)
        found |= named_in(counting, "female", (one.pk for one in females))
    return found


def has_no_season_yet(female: Animal, asof: datetime.date) -> bool:
    """Whether she is too young by her day of birth, and nobody wrote anything of her as of a
    grown one: at most one query, and nothing need be reckoned.
    """
    if female.born_on is None or maturity_of({female.pk: female})[female.pk].since <= asof:
        return False
    written = (
        Exists(rows.filter(female=OuterRef("pk"), withdrawn_at__isnull=True))
        for rows in (Pairing.objects, Sighting.objects, Scan.objects, Outcome.objects)
    )
    anything = functools.reduce(operator.or_, map(Q, written))
    return not Animal.every.filter(anything, pk=female.pk).exists()
