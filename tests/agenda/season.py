"""The same few acts for every test of the agenda: a pair, sightings, a birth, days about today."""

import datetime

from breeding.litters.services import PupFacts, record_birth
from breeding.program import clock
from tests.cast import ago, pair, see


def ahead(days):
    return clock.today() + datetime.timedelta(days=days)


def mated(female, male, days, *, apart=True):
    """Together for two days, mating seen on both."""
    pair(female, male, days + 1, days if apart else None)
    see(female, days + 1, male=male)
    see(female, days, male=male)


def birth(dam, days, *pups):
    return record_birth(
        dam=dam, born_on=ago(days), pups=pups or (PupFacts(),), today=clock.today(), by=None
    )
