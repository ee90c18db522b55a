"""Whether a pH is fit: for whom it is, by what its water has been, and by how fast it changed."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import takewhile

from breeding.housing.figures import figure
from breeding.housing.water.fit import Range, Reading, span_of_figures
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many

EXACT = 6  # places that a difference of two readings is good for: 7.4 - 7.1 is not above 0.3


@dataclass(frozen=True)
class PhRules:
    """The figures of fixtures/water.json under "ph"."""

    change_a_day: float  # more than this harms, whatever the pH
    change_source: str
    borne: Range  # in what rays have been bred at all
    steady_within: float  # a water that stays so near together is what its animals live in
    steady_tests: int
    steady_days: int
    look_back_days: int


@dataclass(frozen=True)
class PhJudged:
    """What is wrong, each in a piece of a sentence, and why it may stand all the same."""

    wrong: tuple[str, ...] = ()
    note: str = ""


def judge_ph(
    readings: Sequence[Reading],
    wanted: Mapping[str, Range],
    rules: PhRules,
    *,
    since: datetime.date,
    changed_since: datetime.date | None = None,
    may_be_used_to_it: bool = True,
) -> PhJudged:
    """The pH of a water from its readings, oldest first; those before `since` only compare.

    changed_since: a change that ended before is over, unless nothing was read after it; by itself
    as `since`.

    `wanted` is the range by whose it is, "" for nobody's in particular. Outside of it a water is
    fit where it has long been so and rays have been bred at it (unless the program chose its own
    range, which holds): what harms is the change.
    """
    if not readings or readings[-1].on < since:
        return PhJudged()
    fast = tuple(_fast_words(readings, rules, changed_since or since))
    now = readings[-1]
    outside = [who for who, limits in wanted.items() if not limits.holds(now.value)]
    if not outside:
        return PhJudged(fast)
    if may_be_used_to_it and not fast and (steady := _steady(readings, rules)):
        return PhJudged(note=_steady_words(now, steady, wanted[outside[0]], rules))
    return PhJudged((*(_outside_words(now, who, wanted[who]) for who in outside), *fast))


def _fast_words(readings: Sequence[Reading], rules: PhRules, since: datetime.date) -> list[str]:
    """The fastest change that ended in the days that count, when it was too fast."""
    pairs = [
        (before, after)
        for number, after in enumerate(readings)
        if after.on >= since or after is readings[-1]
        for before in readings[:number]
    ]
    before, after = max(pairs, key=lambda pair: _a_day(*pair), default=(None, None))
    if before is None or after is None or _a_day(before, after) <= rules.change_a_day:
        return []
    return [_change_words(before, after, rules)]


def _change_words(before: Reading, after: Reading, rules: PhRules) -> str:
    days = (after.on - before.on).days
    said = {
        "before": figure(before.value),
        "after": figure(after.value),
        "most": figure(rules.change_a_day),
        "source": tell(rules.change_source),
    }
    if after.value > before.value:
        if not days:
            return tell(
                "pH rose from {before} to {after} within a day (no more than {most} a day; "
                "{source})",
                **said,
            )
        return tell_many(
            "pH rose from {before} to {after} in {number} day (no more than {most} a day; "
            "{source})",
            "pH rose from {before} to {after} in {number} days (no more than {most} a day; "
            "{source})",
            days,
            **said,
        )
    if not days:
        return tell(
            "pH fell from {before} to {after} within a day (no more than {most} a day; {source})",
            **said,
        )
    return tell_many(
        "pH fell from {before} to {after} in {number} day (no more than {most} a day; {source})",
        "pH fell from {before} to {after} in {number} days (no more than {most} a day; {source})",
        days,
        **said,
    )


def _a_day(before: Reading, after: Reading) -> float:
    days = max((after.on - before.on).days, 1)
    return round(abs(after.value - before.value) / days, EXACT)


def _steady(readings: Sequence[Reading], rules: PhRules) -> Sequence[Reading]:
    """The latest readings that lie near together, if they are enough over long enough; else ()."""
    now = readings[-1]
    if not rules.borne.holds(now.value):
        return ()
    near = takewhile(
        lambda one: round(abs(one.value - now.value), EXACT) <= rules.steady_within,
        reversed(readings),
    )
    found = list(near)[::-1]
    is_long = (now.on - found[0].on).days >= rules.steady_days
    return found if is_long and len(found) >= rules.steady_tests else ()


def _steady_words(now: Reading, steady: Sequence[Reading], limits: Range, rules: PhRules) -> str:
    least, most = (choose(one.value for one in steady) for choose in (min, max))
    return tell_many(
        "pH {now} is outside {limits}, but this water has been at {span} in {number} test since "
        "{day}, and rays have been bred at {borne} ({source}): do not change it fast.",
        "pH {now} is outside {limits}, but this water has been at {span} in {number} tests since "
        "{day}, and rays have been bred at {borne} ({source}): do not change it fast.",
        len(steady),
        now=figure(now.value),
        limits=_bounds(limits),
        span=figure(least) if least == most else span_of_figures(least, most),
        day=long_day(steady[0].on),
        borne=_bounds(rules.borne),
        source=tell(rules.borne.source),
    )


def _outside_words(now: Reading, who: str, limits: Range) -> str:
    said = {"value": figure(now.value), "limits": _bounds(limits)}
    if who:
        return tell("pH {value} (allowed {limits} for {species})", species=who, **said)
    return tell("pH {value} (allowed {limits})", **said)


def _bounds(limits: Range) -> str:
    if limits.least is not None and limits.most is not None:
        return span_of_figures(limits.least, limits.most)
    if limits.least is not None:
        return tell("at least {value}", value=figure(limits.least))
    return tell("at most {value}", value=figure(limits.most or 0))
