"""How treatments are said, on pages, sheets and sales pages alike."""

import datetime
from collections.abc import Iterable, Sequence

from breeding.health.illness.standing import treatments_of_all
from breeding.health.models import Treatment
from breeding.words.days import long_day
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import joined

Date = datetime.date
NONE, NOT_RECORDED = message("none on record"), message("not recorded")
MOST_NAMED = 4


def treatments_said(keys: Iterable[int], on: Date) -> dict[int, str]:
    """What each of these was treated with, in words: a constant number of queries.

    Where this program has never written down a treatment, it says that none is recorded.
    """
    keys = list(keys)
    if not Treatment.objects.exists():
        return dict.fromkeys(keys, tell(NOT_RECORDED))
    found = treatments_of_all(keys, on)
    return {key: said_of(found[key], on) if key in found else tell(NONE) for key in keys}


def said_of(treatments: Sequence[Treatment], on: Date) -> str:
    """The latest first; a remedy in the water is said to be one."""
    named = [words_of(one, on) for one in treatments[:MOST_NAMED]]
    more = len(treatments) - len(named)
    if more:
        named.append(tell_many("{number} earlier treatment", "{number} earlier treatments", more))
    return "; ".join(named)


def words_of(one: Treatment, on: Date) -> str:
    """A remedy with its days and what it was for."""
    parts = [_days_words(one, on)]
    if one.against:
        parts.append(tell("against {what}", what=one.against))
    free = one.free_from(on)
    if free and one.hold_until and free > on:
        parts.append(tell("held until {day}", day=long_day(free)))
    return ", ".join(parts)


def _days_words(one: Treatment, on: Date) -> str:
    """The remedy, where it was given, and from when to when."""
    remedy = one.remedy
    if one.tank_id is not None:
        remedy = tell("{remedy} in the water", remedy=one.remedy)
    since = long_day(one.since)
    if one.goes_on(on):
        return tell("{remedy} since {day}, and it goes on", remedy=remedy, day=since)
    if one.until == one.since:
        return tell("{remedy} on {day}", remedy=remedy, day=since)
    if one.until is None:
        return tell("{remedy} from {day}", remedy=remedy, day=since)
    return tell(
        "{remedy} from {day} to {until}", remedy=remedy, day=since, until=long_day(one.until)
    )


def prescribed_words(one: Treatment) -> str:
    """By whom, and the dose in the words in which it was prescribed."""
    parts = [tell("dose “{dose}”", dose=one.dose)] if one.dose else []
    if one.prescribed_by:
        parts.append(tell("prescribed by {person}", person=one.prescribed_by))
    else:
        parts.append(tell("prescribed by nobody on record: a veterinarian decides on every dose"))
    return joined(parts)
