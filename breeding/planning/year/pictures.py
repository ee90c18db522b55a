"""The plots of the year in figures."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from breeding.planning.year.report import FIRST_DAYS, Part, YearReport
from breeding.planning.year.said import ages_words
from breeding.planning.year.statistics import Step
from breeding.program.plots import Bar, Series, bars, over_years
from breeding.words.language import tell

MOST_DAYS = 365  # of age; what becomes of grown animals is no matter of raising
FEWEST = 2  # lives, below which there is no curve to draw


@dataclass(frozen=True)
class YearPictures:
    """The plots of the page; an empty one has nothing to draw."""

    survival: SafeString
    years: SafeString
    losses: SafeString


def year_pictures(report: YearReport, last_days: int) -> YearPictures:
    """last_days: the greatest age at which anybody was still watched."""
    survival, years, losses = (
        mark_safe(svg)  # noqa: S308  (plots escapes every name)
        for svg in (
            _survival(report.steps, min(last_days, MOST_DAYS)),
            _years(sorted(report.years, key=lambda one: one.name)),
            _losses(report),
        )
    )
    return YearPictures(survival, years, losses)


def _survival(steps: Sequence[Step], last_days: int) -> str:
    if not steps or steps[0].at_risk < FEWEST or last_days < 1:
        return ""
    shown = [one for one in steps if one.days <= last_days]
    line = list(_stairs([(one.days, one.alive) for one in shown], last_days))
    banded = [one for one in shown if one.low is not None and one.high is not None]
    lows = list(_stairs([(one.days, one.low or 0.0) for one in banded], last_days))
    highs = list(_stairs([(one.days, one.high or 0.0) for one in banded], last_days))
    band = [(at, low, high) for (at, low), (_, high) in zip(lows, highs, strict=True)]
    ages = [
        tell("at {age} {share}", age=age, share=said) for age, said in ages_words(steps, last_days)
    ]
    told = tell("Alive: {ages}.", ages="; ".join(ages))
    return over_years(
        [Series(tell("alive"), line, band=band, has_marks=False, told=told)],
        id="survival",
        title=tell("Share of those born alive that is alive, by age"),
        unit=tell("% alive, with its band"),
        points=[(one.days, one.alive) for one in shown if one.died],
        across=tell("age in days"),
    )


def _stairs(
    points: Sequence[tuple[float, float]], last_days: float
) -> Iterator[tuple[float, float]]:
    """Level until the next point, as whoever is alive stays so until one dies."""
    before: float | None = None
    for at, value in points:
        if before is not None:
            yield at, before
        yield at, value
        before = value
    if before is not None:
        yield last_days, before


def _years(parts: Sequence[Part]) -> str:
    known = [one for one in parts if one.thirty.share is not None]
    if len(known) < FEWEST:
        return ""
    points = [(float(one.name), one.thirty.share or 0.0) for one in known]
    band = [(float(one.name), one.thirty.low, one.thirty.high) for one in known]
    years = [
        tell("{year}: {number} of {all}", year=one.name, number=one.thirty.count, all=one.thirty.of)
        for one in known
    ]
    return over_years(
        [
            Series(
                tell("lived"),
                points,
                band=band,
                told=tell(
                    "Lived to {days} days in {years}.", days=FIRST_DAYS, years="; ".join(years)
                ),
            )
        ],
        id="years",
        title=tell(
            "Share of those born alive that lived to {days} days, by year of birth",
            days=FIRST_DAYS,
        ),
        unit=tell("% alive at {days} days, with its interval", days=FIRST_DAYS),
        across=tell("year of birth"),
    )


def _losses(report: YearReport) -> str:
    if not report.died:
        return ""
    return bars(
        [Bar(cause, count / report.died, str(count)) for cause, count in report.losses],
        id="losses",
        title=tell("What those born alive died of"),
    )
