"""What the figures of a year say, in sentences; pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from breeding.planning.year.report import FIRST_DAYS, Part, YearReport
from breeding.planning.year.statistics import Rate, Step, alive_at
from breeding.words.language import tell, tell_many
from breeding.words.numbers import written

WIDE = 0.2  # an interval of more than so much says little; assumption
SURPRISE = 0.05
AGES = (7, 30, 90, 180, 365)


def whole_percent(share: float) -> str:
    """A share that rests on few, without figures after the point.

    >>> whole_percent(0.826), whole_percent(0.001), whole_percent(0.999), whole_percent(1)
    ('83', 'less than 1', 'more than 99', '100')
    """
    if 0.995 <= share < 1:
        return tell("more than 99")
    return tell("less than 1") if 0 < share < 0.005 else f"{share * 100:.0f}"


def rate_words(rate: Rate) -> str:
    """The share and its interval.

    >>> rate_words(Rate(19, 23, 0.6286, 0.9302)), rate_words(Rate(0, 0, 0, 1))
    ('83 %, between 63 and 93 %', 'not known yet')
    """
    if rate.share is None:
        return tell("not known yet")
    low, high = whole_percent(rate.low), whole_percent(rate.high)
    return tell(
        "{share} %, between {low} and {high} %",
        share=whole_percent(rate.share),
        low=low,
        high=high,
    )


def answer_words(report: YearReport) -> str:
    """The year in one sentence."""
    whole = report.whole
    if not whole.born:
        return tell_many(
            "{number} litter, and no pup on record.",
            "{number} litters, and no pup on record.",
            whole.litters,
        )
    if not whole.alive.count:
        return tell("None of {number} was born alive.", number=whole.born)
    if not whole.thirty.of:
        return tell_many(
            "{number} pup born alive; of {days} days nothing is known yet.",
            "{number} pups born alive; of {days} days nothing is known yet.",
            whole.alive.count,
            days=FIRST_DAYS,
        )
    return tell(
        "Of {all} born alive, {number} lived to {days} days: {share}.",
        all=whole.thirty.of,
        number=whole.thirty.count,
        days=FIRST_DAYS,
        share=rate_words(whole.thirty),
    )


def left_out_words(report: YearReport) -> str:
    """Who is not counted in it, and why; empty when all are."""
    whole, said = report.whole, []
    too_young = whole.not_yet - report.day_unknown
    if too_young > 0:
        said.append(
            tell_many(
                "{number} is younger than {days} days, or left before",
                "{number} are younger than {days} days, or left before",
                too_young,
                days=FIRST_DAYS,
            )
        )
    if report.day_unknown:
        said.append(
            tell_many(
                "{number} is gone since a day that is not on record",
                "{number} are gone since a day that is not on record",
                report.day_unknown,
            )
        )
    return tell("Not counted: {reasons}.", reasons="; ".join(said)) if said else ""


def few_words(report: YearReport) -> str:
    """How little few animals say."""
    rate = report.whole.thirty
    if rate.share is None or rate.high - rate.low <= WIDE:
        return ""
    return tell_many(
        "Few animals: with {number} pup the true share can lie anywhere in that span. What one "
        "dam or one sire shows rests on fewer still: where two spans overlap, the records do not "
        "show that one does better.",
        "Few animals: with {number} pups the true share can lie anywhere in that span. What one "
        "dam or one sire shows rests on fewer still: where two spans overlap, the records do not "
        "show that one does better.",
        rate.of,
    )


def sex_words(report: YearReport) -> str:
    """The sexes, and whether they differ from one to one."""
    whole = report.whole
    chance = whole.chance_if_even
    said = [tell("No sex is on record.")] if chance is None else _ratio_words(whole, chance)
    if whole.sex_unknown:
        said.append(
            tell_many(
                "{number} pup of unknown sex.", "{number} pups of unknown sex.", whole.sex_unknown
            )
        )
    return " ".join(said)


def _ratio_words(whole: Part, chance: float) -> list[str]:
    males = tell_many("{number} male", "{number} males", whole.males)
    females = tell_many("{number} female", "{number} females", whole.females)
    values = {"share": whole_percent(chance), "chance": written(f"{chance:.4g}")}
    verdict = (
        tell(
            "If each were as likely, a ratio as uneven as this would come up in {share} of 100 "
            "such counts (p {chance}): no sign that one sex is more likely.",
            **values,
        )
        if chance >= SURPRISE
        else tell(
            "If each were as likely, a ratio as uneven as this would come up in {share} of 100 "
            "such counts (p {chance}): more than chance alone mostly brings; were the sexes told "
            "apart rightly?",
            **values,
        )
    )
    return [tell("{males}, {females}.", males=males, females=females), verdict]


def band_words(step: Step) -> str:
    """The share alive and its band.

    >>> band_words(Step(30, 12, 1, 0.75, 0.503, 0.889))
    '75 %, between 50 and 89 %'
    >>> band_words(Step(0, 12, 0, 1.0, None, None))
    '100 %, none of 12 lost'
    """
    if step.alive == 1:
        return tell("100 %, none of {number} lost", number=step.at_risk)
    if step.low is None or step.high is None:
        return f"{whole_percent(step.alive)} %"
    return tell(
        "{share} %, between {low} and {high} %",
        share=whole_percent(step.alive),
        low=whole_percent(step.low),
        high=whole_percent(step.high),
    )


def ages_words(steps: Sequence[Step], last_days: int) -> list[tuple[str, str]]:
    """The share alive at some ages, no further than anybody was watched."""
    found = []
    for days in AGES:
        step = alive_at(steps, days)
        if step is not None and days <= last_days:
            found.append((tell_many("{number} day", "{number} days", days), band_words(step)))
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
                (tell("born alive"), _cell(one.alive)),
                (tell("lived to {days} days", days=FIRST_DAYS), _cell(one.thirty)),
                (tell("lived to leave"), _cell(one.leaving)),
            ),
        )
        for one in parts
    ]


def _cell(rate: Rate) -> tuple[str, str]:
    if rate.share is None:
        return "", ""
    span = tell(
        "{share} % ({low} to {high})",
        share=whole_percent(rate.share),
        low=whole_percent(rate.low),
        high=whole_percent(rate.high),
    )
    return tell("{number} of {all}", number=rate.count, all=rate.of), span
