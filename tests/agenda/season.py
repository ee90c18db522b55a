"""The same few acts for every test of the agenda: a pair, sightings, a birth, days about today."""

import datetime

from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.models import SignKind
from breeding.pairings.services import log_sighting, open_pairing
from breeding.program import clock
from breeding.program.queries import the_program


def ago(days):
    return clock.today() - datetime.timedelta(days=days)


def ahead(days):
    return clock.today() + datetime.timedelta(days=days)


def pair(female, male, since, until=None):
    return open_pairing(
        female=female,
        male=male,
        introduced_on=ago(since),
        separated_on=None if until is None else ago(until),
        program=the_program(),
        by=None,
        today=clock.today(),
    )


def see(female, days, kind="copulation", **more):
    return log_sighting(
        female=female,
        kind=SignKind.objects.get(key=kind),
        seen_at=clock.now() - datetime.timedelta(days=days),
        now=clock.now(),
        by=None,
        **more,
    )


def mated(female, male, days, *, apart=True):
    """Together for two days, mating seen on both."""
    pair(female, male, days + 1, days if apart else None)
    see(female, days + 1, male=male)
    see(female, days, male=male)


def birth(dam, days, *pups):
    return record_birth(
        dam=dam, born_on=ago(days), pups=pups or (PupFacts(),), today=clock.today(), by=None
    )
