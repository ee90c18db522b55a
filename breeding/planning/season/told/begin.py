"""When a pairing can begin, and what stands against beginning today; reads nothing."""

import datetime
from dataclasses import dataclass
from enum import IntEnum

from breeding.planning.season.free_from import after_birth
from breeding.planning.season.readiness import Candidate
from breeding.words.language import tell


class Kind(IntEnum):
    """In the order in which they stand in a plan."""

    NOW = 0
    SETTLE = 1  # first it is to be found out whether she is pregnant
    LATER = 2  # from a day on that can be told
    OPEN = 3  # nobody knows from when


@dataclass(frozen=True)
class Begin:
    """on: the first day, as far as it can be told. against: what stands against today, each a
    sentence without its full stop: "Rigel is in quarantine"."""

    kind: Kind
    on: datetime.date
    against: tuple[str, ...] = ()


def begin_of(female: Candidate, male: Candidate, today: datetime.date, rest_days: int) -> Begin:
    """Only what can be done today is for now, and all that stands against it is said."""
    on = earliest(female, male, today, rest_days)
    against = tuple(
        tell("{animal} {reason}", animal=one.animal.name, reason=said)
        for one in (female, male)
        for said in one.against
    )
    kind = Kind.LATER if on > today else Kind.NOW
    if female.to_settle:
        kind = Kind.SETTLE
    elif _is_open(female):
        kind = Kind.OPEN
    if _is_open(male):
        kind = Kind.OPEN
    return Begin(kind, on, against)


def _is_open(one: Candidate) -> bool:
    """Whether something stands against it of which nobody knows when it ends."""
    return bool(one.hindrances) and one.free_on is None


def earliest(
    female: Candidate, male: Candidate, today: datetime.date, rest_days: int
) -> datetime.date:
    """From when on the two can be paired: both free and fit, as far as that can be told."""
    days = [today, female.rests_until, after_birth(female, rest_days)]
    return max(day for day in (*days, female.free_on, male.free_on) if day is not None)
