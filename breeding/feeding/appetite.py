"""Who eats and who refuses, from meals and from what else was seen; pure, reads nothing.

Refused is the first alarm. A refusal stands until food is taken; a little of it neither begins nor
ends anything. One refusal is a sign; how many days of them are an alarm is a figure, by age.
"""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

Date = datetime.date
Moment = datetime.datetime

# A young one that leaves food on so many different days of so many, though it eats between, is told
# of: one that leaves most meals takes some. Healthy ones leave a meal in a hundred in the simulated
# years where this was chosen (benchmarks/raising.py).
AGAIN_OF_DAYS = 4
BIRTH_FAST_DAYS = 3  # refused food so shortly before a birth belongs to the birth; an assumption


class Seen(NamedTuple):
    """What was seen of an animal beside its meals: it refuses, or it eats again.

    mark: by which an answer to it is found again. Somebody who writes "off food" has judged.
    """

    animal: int
    at: Moment
    what: Literal["refused", "taken"]
    mark: str = ""


@dataclass(frozen=True)
class Refusal:
    """Food that was refused: when, on which day where the program is, by what mark.

    is_judged: somebody said that the animal is off food; otherwise one round was left.
    """

    at: Moment
    on: Date
    mark: str
    is_judged: bool = False


@dataclass(frozen=True)
class Appetite:
    """Of one animal as of a day: what it took last, and what it has refused since, oldest first.

    alarm_days: on so many different days food is refused before it is an alarm.
    silence_days: so many days without food taken, though others are fed, are one too.
    first_on: of its first meal taken whole; ate_first_on: taken whole or in part. Days are those
    where the program is. has_meals: whether any meal of it is on record, taken or left; what was
    only seen of it is none. fed_since: since when it has fed by itself, by its meals. left_lately:
    the days, few after each other, on which it left food lately, and be it that it ate between.
    """

    taken_at: Moment | None = None
    taken_on: Date | None = None
    little_on: Date | None = None
    first_on: Date | None = None
    ate_first_on: Date | None = None
    refusals: tuple[Refusal, ...] = field(default=())
    alarm_days: int = 1
    silence_days: int = 7
    is_young: bool = False
    born_on: Date | None = None
    has_meals: bool = False
    fed_since: Date | None = None
    left_lately: tuple[Date, ...] = field(default=())

    @property
    def leaves_again(self) -> bool:
        """Whether it is young and left food on so many days lately that it is told of.

        One that is off food is not among these: that is said of it already.
        """
        return self.is_young and not self.is_off_food and len(self.left_lately) >= self.alarm_days

    @property
    def days_refused(self) -> int:
        return len({one.on for one in self.refusals})

    @property
    def is_off_food(self) -> bool:
        """Whether it is an alarm: judged by somebody, or refused on so many days."""
        if not self.refusals:
            return False
        judged = any(one.is_judged for one in self.refusals)
        return judged or self.days_refused >= self.alarm_days

    @property
    def ate_on(self) -> Date | None:
        """The last day on which it took anything, and be it little."""
        return max(filter(None, (self.taken_on, self.little_on)), default=None)


def standing(
    refusals: Iterable[Refusal], taken_at: Moment | None, births: Iterable[Date] = ()
) -> tuple[Refusal, ...]:
    """Those of the refusals that nothing has ended: no food taken later, no birth right after.

    >>> at = [datetime.datetime(2026, 3, day, 9, tzinfo=datetime.UTC) for day in (1, 2, 3)]
    >>> every = [Refusal(one, one.date(), str(one.day)) for one in at]
    >>> [one.mark for one in standing(every, at[1])]
    ['3']
    >>> standing(every, None, births=[datetime.date(2026, 3, 4)])
    ()
    """
    open_ = sorted(
        (one for one in refusals if taken_at is None or one.at > taken_at),
        key=lambda one: (one.at, one.mark),
    )
    for born_on in sorted(births):
        before = [one for one in open_ if one.on <= born_on]
        if before and (born_on - before[-1].on).days <= BIRTH_FAST_DAYS:
            open_ = [one for one in open_ if one.on > born_on]
    return tuple(open_)


def left_of_late(refused_on: Iterable[Date], asof: Date) -> tuple[Date, ...]:
    """The different days on which it left food shortly before it last did; none if that is past.

    >>> left_of_late([Date(2026, 3, day) for day in (1, 2, 2, 4)], Date(2026, 3, 5))
    (datetime.date(2026, 3, 1), datetime.date(2026, 3, 2), datetime.date(2026, 3, 4))
    >>> left_of_late([Date(2026, 3, 4)], Date(2026, 3, 8))
    ()
    """
    days = sorted({on for on in refused_on if on <= asof})
    if not days or (asof - days[-1]).days >= AGAIN_OF_DAYS:
        return ()
    return tuple(on for on in days if (days[-1] - on).days < AGAIN_OF_DAYS)


def self_feeding_since(
    first_on: Date | None, runs: Iterable[tuple[int, Date | None]], alarm_days: int
) -> Date | None:
    """Since when it has fed by itself: its first meal, or the first after it refused too long.

    runs: of each time that it refused food lately, on how many days, and when it took some again
    (None: not yet). None: it does not, now.

    >>> first, again = Date(2026, 3, 1), Date(2026, 3, 4)
    >>> self_feeding_since(first, [(2, again)], 2), self_feeding_since(first, [(2, again)], 3)
    (datetime.date(2026, 3, 4), datetime.date(2026, 3, 1))
    >>> self_feeding_since(first, [(2, again), (2, None)], 2) is None
    True
    """
    since = first_on
    for days, again_on in runs:
        if days < alarm_days:
            continue
        if again_on is None:
            return None
        since = max(again_on, since) if since else again_on
    return since
