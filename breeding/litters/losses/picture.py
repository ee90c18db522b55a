"""Losses over the years, drawn."""

from django.utils.safestring import SafeString, mark_safe

from breeding.litters.losses.report import LossReport
from breeding.program.plots import Series, over_years
from breeding.words.language import tell, tell_many


def losses_picture(report: LossReport) -> SafeString:
    """How many in each year, years without one too; empty where words say more."""
    if not report.is_drawn:
        return mark_safe("")
    every = range(min(report.years), max(report.years) + 1)
    points = [(float(year), float(report.years.get(year, 0))) for year in every]
    svg = over_years(
        [
            Series(
                tell("Lost"),
                points,
                told=tell("Lost in each year: {years}.", years=years_words(report)),
            )
        ],
        id="losses-years",
        title=tell("Losses by year, born dead too"),
        unit=tell("animals"),
        as_percent=False,
    )
    return mark_safe(svg)  # noqa: S308  (plots escapes every name)


def years_words(report: LossReport) -> str:
    """ "2024: 3 losses; 2025: 1 loss"."""
    return "; ".join(
        tell_many("{year}: {number} loss", "{year}: {number} losses", number, year=year)
        for year, number in report.years.items()
    )
