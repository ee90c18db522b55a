"""What the figures of a year say, in sentences; pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from breeding.planning.year.report import FIRST_DAYS, Part, YearReport
from breeding.planning.year.statistics import Rate, Step, alive_at
from breeding.words.numbers import counted

WIDE = 0.2  # an interval of more than so much says little; assumption
SURPRISE = 0.05
AGES = (7, 30, 90, 180, 365)


def whole_percent(share: float) -> str:
    """A share that rests on few, without figures after the point.

    >>> whole_percent(0.826), whole_percent(0.001), whole_percent(0.999), whole_percent(1)
    ('83', 'less than 1', 'more than 99', '100')
    """
    if 0.995 <= share < 1:
        return "more than 99"
    return "less than 1" if 0 < share < 0.005 else f"{share * 100:.0f}"


def rate_words(rate: Rate) -> str:
    """The share and its interval.

    >>> rate_words(Rate(19, 23, 0.6286, 0.9302)), rate_words(Rate(0, 0, 0, 1))
    ('83 %, between 63 and 93 %', 'not known yet')
    """
    if rate.share is None:
        return "not known yet"
    low, high = whole_percent(rate.low), whole_percent(rate.high)
    return f"{whole_percent(rate.share)} %, between {low} and {high} %"


def answer_words(report: YearReport) -> str:
    """The year in one sentence."""
    whole = report.whole
    if not whole.born:
        return f"{counted(whole.litters, 'litter')}, and no pup on record."
    if not whole.alive.count:
        return f"None of {whole.born} was born alive."
    if not whole.thirty.of:
        born = counted(whole.alive.count, "pup")
        return f"{born} born alive; of {FIRST_DAYS} days nothing is known yet."
    of = f"Of {whole.thirty.of} born alive"
    return f"{of}, {whole.thirty.count} lived to {FIRST_DAYS} days: {rate_words(whole.thirty)}."


def left_out_words(report: YearReport) -> str:
    """Who is not counted in it, and why; empty when all are."""
    whole, said = report.whole, []
    too_young = whole.not_yet - report.day_unknown
    if too_young > 0:
        said.append(
            f"{counted(too_young, 'is', 'are')} younger than {FIRST_DAYS} days, or left before"
        )
    if report.day_unknown:
        gone = counted(report.day_unknown, "is", "are")
        said.append(f"{gone} gone since a day that is not on record")
    return f"Not counted: {'; '.join(said)}." if said else ""


def few_words(report: YearReport) -> str:
    """How little few animals say."""
    rate = report.whole.thirty
    if rate.share is None or rate.high - rate.low <= WIDE:
        return ""
    return (
        f"Few animals: with {counted(rate.of, 'pup')} the true share can lie anywhere in that "
        "span. What one dam or one sire shows rests on fewer still: where two spans overlap, the "
        "records do not show that one does better."
    )


def sex_words(report: YearReport) -> str:
    """The sexes, and whether they differ from one to one."""
    whole = report.whole
    chance = whole.chance_if_even
    unknown = f" {counted(whole.sex_unknown, 'pup')} of unknown sex." if whole.sex_unknown else ""
    if chance is None:
        return f"No sex is on record.{unknown}"
    said = f"{counted(whole.males, 'male')}, {counted(whole.females, 'female')}."
    verdict = (
        "no sign that one sex is more likely"
        if chance >= SURPRISE
        else "more than chance alone mostly brings; were the sexes told apart rightly?"
    )
    return (
        f"{said} If each were as likely, a ratio as uneven as this would come up in "
        f"{whole_percent(chance)} of 100 such counts (p {chance:.4g}): {verdict}.{unknown}"
    )


def band_words(step: Step) -> str:
    """The share alive and its band.

    >>> band_words(Step(30, 12, 1, 0.75, 0.503, 0.889))
    '75 %, between 50 and 89 %'
    >>> band_words(Step(0, 12, 0, 1.0, None, None))
    '100 %, none of 12 lost'
    """
    if step.alive == 1:
        return f"100 %, none of {step.at_risk} lost"
    if step.low is None or step.high is None:
        return f"{whole_percent(step.alive)} %"
    span = f"between {whole_percent(step.low)} and {whole_percent(step.high)} %"
    return f"{whole_percent(step.alive)} %, {span}"


def ages_words(steps: Sequence[Step], last_days: int) -> list[tuple[str, str]]:
    """The share alive at some ages, no further than anybody was watched."""
    found = []
    for days in AGES:
        step = alive_at(steps, days)
        if step is not None and days <= last_days:
            found.append((counted(days, "day"), band_words(step)))
    return found


@dataclass(frozen=True)
class Row:
    """A part of the young with its rates as a table says them: so many of so many, and the span."""

    part: Part
    cells: tuple[tuple[str, tuple[str, str]], ...]


def rows_of(parts: Sequence[Part]) -> list[Row]:
    """The rows of a table."""
    return [
        Row(
            one,
            (
                ("born alive", _cell(one.alive)),
                (f"lived to {FIRST_DAYS} days", _cell(one.thirty)),
                ("lived to leave", _cell(one.leaving)),
            ),
        )
        for one in parts
    ]


def _cell(rate: Rate) -> tuple[str, str]:
    if rate.share is None:
        return "", ""
    span = f"{whole_percent(rate.low)} to {whole_percent(rate.high)}"
    return f"{rate.count} of {rate.of}", f"{whole_percent(rate.share)} % ({span})"
