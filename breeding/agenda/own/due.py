"""When a reminder is due: reckoned from its day, its rhythm and the day it was last done; pure."""

import datetime

from breeding.words.language import tell, tell_many


def due_on(
    on: datetime.date, every_days: int | None, done_on: datetime.date | None
) -> datetime.date | None:
    """The day on which it asks, or None when it is done and does not come again.

    One that comes again keeps its days: done a little early or late, it asks on the first of them
    that is at least half its time later.

    >>> monday = datetime.date(2026, 11, 30)
    >>> due_on(monday, 7, None) == monday, due_on(monday, None, monday)
    (True, None)
    >>> for late in (-1, 0, 1, 4):  # Sunday, Monday, Tuesday, Friday
    ...     print(due_on(monday, 7, monday + datetime.timedelta(days=late)))
    2026-12-07
    2026-12-07
    2026-12-07
    2026-12-14
    """
    if done_on is None:
        return on
    if every_days is None:
        return None
    half_days_past = 2 * (done_on - on).days + every_days
    steps = max(-(-half_days_past // (2 * every_days)), 0)
    return on + datetime.timedelta(days=steps * every_days)


def rhythm_words(every_days: int | None) -> str:
    """How often it comes.

    >>> rhythm_words(None), rhythm_words(1), rhythm_words(7), rhythm_words(10)
    ('once', 'every day', 'every week', 'every 10 days')
    """
    if every_days is None:
        return tell("once")
    if every_days % 7 == 0:
        return tell_many("every week", "every {number} weeks", every_days // 7)
    return tell_many("every day", "every {number} days", every_days)
