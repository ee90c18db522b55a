"""How treatments are said, on pages, sheets and sales pages alike."""

import datetime
from collections.abc import Iterable, Sequence

from breeding.health.illness.standing import treatments_of_all
from breeding.health.models import Treatment
from breeding.words.days import long_day
from breeding.words.numbers import counted, joined

Date = datetime.date
NONE, NOT_RECORDED = "none on record", "not recorded"
MOST_NAMED = 4


def treatments_said(keys: Iterable[int], on: Date) -> dict[int, str]:
    """What each of these was treated with, in words: a constant number of queries.

    Where this program has never written down a treatment, it says that none is recorded.
    """
    keys = list(keys)
    if not Treatment.objects.exists():
        return dict.fromkeys(keys, NOT_RECORDED)
    found = treatments_of_all(keys, on)
    return {key: said_of(found[key], on) if key in found else NONE for key in keys}


def said_of(treatments: Sequence[Treatment], on: Date) -> str:
    """The latest first; a remedy in the water is said to be one."""
    named = [words_of(one, on) for one in treatments[:MOST_NAMED]]
    more = len(treatments) - len(named)
    return "; ".join([*named, f"{counted(more, 'earlier treatment')}"] if more else named)


def words_of(one: Treatment, on: Date) -> str:
    """A remedy with its days and what it was for."""
    days = f"from {long_day(one.since)}"
    if one.goes_on(on):
        days = f"since {long_day(one.since)}, and it goes on"
    elif one.until == one.since:
        days = f"on {long_day(one.since)}"
    elif one.until is not None:
        days += f" to {long_day(one.until)}"
    water = " in the water" if one.tank_id is not None else ""
    against = f", against {one.against}" if one.against else ""
    free = one.free_from(on)
    hold = f", held until {long_day(free)}" if free and one.hold_until and free > on else ""
    return f"{one.remedy}{water} {days}{against}{hold}"


def prescribed_words(one: Treatment) -> str:
    """By whom, and the dose in the words in which it was prescribed."""
    parts = [f"dose “{one.dose}”"] if one.dose else []
    if one.prescribed_by:
        parts.append(f"prescribed by {one.prescribed_by}")
    else:
        parts.append("prescribed by nobody on record: a veterinarian decides on every dose")
    return joined(parts)
