"""Whether a pH is fit: for whom it is, by what its water has been, and by how fast it changed."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import takewhile

from breeding.housing.water.fit import Range, Reading
from breeding.words.days import long_day
from breeding.words.numbers import counted, joined

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
    may_be_used_to_it: bool = True,
) -> PhJudged:
    """The pH of a water from its readings, oldest first; those before `since` only compare.

    `wanted` is the range by whose it is, "" for nobody's in particular. Outside of it a water is
    fit where it has long been so and rays have been bred at it (unless the program chose its own
    range, which holds): what harms is the change.
    """
    if not readings or readings[-1].on < since:
        return PhJudged()
    fast = tuple(_fast_words(readings, rules, since))
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
        if after.on >= since
        for before in readings[:number]
    ]
    before, after = max(pairs, key=lambda pair: _a_day(*pair), default=(None, None))
    if before is None or after is None or _a_day(before, after) <= rules.change_a_day:
        return []
    days = (after.on - before.on).days
    how = "rose" if after.value > before.value else "fell"
    within = f"in {counted(days, 'day')}" if days else "within a day"
    return [
        f"pH {how} from {before.value:g} to {after.value:g} {within} "
        f"(no more than {rules.change_a_day:g} a day; {rules.change_source})"
    ]


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
    span = f"{least:g}" if least == most else f"{least:g} to {most:g}"
    return (
        f"pH {now.value:g} is outside {_bounds(limits)}, but this water has been at {span} in "
        f"{counted(len(steady), 'test')} since {long_day(steady[0].on)}, and rays have been bred "
        f"at {_bounds(rules.borne)} ({rules.borne.source}): do not change it fast."
    )


def _outside_words(now: Reading, who: str, limits: Range) -> str:
    whose = f" for {who}" if who else ""
    return f"pH {now.value:g} (allowed {_bounds(limits)}{whose})"


def _bounds(limits: Range) -> str:
    ends = (("at least", limits.least), ("at most", limits.most))
    if limits.least is not None and limits.most is not None:
        return f"{limits.least:g} to {limits.most:g}"
    return joined([f"{words} {value:g}" for words, value in ends if value is not None])
