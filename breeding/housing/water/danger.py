"""What of the water harms those in it already, by its newest tests; writes nothing."""

import datetime
from collections.abc import Iterable

from django.utils import timezone

from breeding.housing.models import Tank, WaterTest
from breeding.housing.water.queries import STANDS_DAYS, dangerous_in, tests_of_late
from breeding.housing.water.said import ammonia_harm, ammonia_words
from breeding.program.models import Program


def dangers_of(
    tanks: Iterable[Tank], asof: datetime.date, *, program: Program
) -> dict[int, tuple[str, ...]]:
    """By tank, a sentence for each emergency that its newest readings tell of; no key without one.

    A temperature that nobody bears for long, and ammonia of which the harmful kind is above where
    harm begins. Each stands until it is read again, and no longer than `STANDS_DAYS`.
    """
    first = asof - datetime.timedelta(days=STANDS_DAYS)
    found = {}
    for key, tests in tests_of_late(tanks, asof).items():
        late = [one for one in tests if timezone.localdate(one.tested_at) >= first]
        if said := (*_warmth(late, program), *_ammonia(late)):
            found[key] = said
    return found


def _warmth(tests: list[WaterTest], program: Program) -> list[str]:
    newest = next((one for one in tests if one.temperature_c is not None), None)
    return dangerous_in(newest, program) if newest else []


def _ammonia(tests: list[WaterTest]) -> list[str]:
    newest = next((one for one in tests if one.ammonia_mg_l is not None), None)
    return [ammonia_words(newest)] if newest and ammonia_harm(newest) == "harm" else []
