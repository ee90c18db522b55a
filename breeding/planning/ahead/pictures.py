"""What a look ahead came to, as plots, as a table, and its assumptions in words."""

from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from breeding.planning.models import LookAhead
from breeding.program.plots import Series, over_years
from breeding.words.numbers import percent
from pedigree.ahead.assumptions import Assumptions

STYLES = ("line-a", "line-b", "line-c")
PLOTTED = (
    ("gene_diversity", "Gene diversity of the living", "gene diversity, %", True, False),
    ("inbreeding", "Mean F of the living", "F, %", True, True),
    ("living", "Living animals", "animals", False, True),
)


@dataclass(frozen=True)
class Picture:
    """One figure under every policy."""

    title: str
    svg: SafeString


@dataclass(frozen=True)
class OutlookRow:
    """The last year of one policy, in words."""

    says: str
    style: str
    living: str
    gene_diversity: str
    inbreeding: str
    founder_genomes: str
    died_out: str


def outlook_pictures(asked: LookAhead) -> list[Picture]:
    """Median lines with the span of nine in ten programs."""
    found = []
    for figure, title, unit, as_percent, from_zero in PLOTTED:
        series = []
        for style, one in zip(STYLES, asked.result.values(), strict=True):
            years = [
                (asked.first_year + at, *band)
                for at, band in enumerate(one["figures"][figure])
                if band[0] is not None
            ]
            series.append(
                Series(
                    one["says"],
                    [(year, middle) for year, _, middle, _ in years],
                    style,
                    [(year, low, high) for year, low, _, high in years],
                )
            )
        svg = over_years(
            series,
            id=figure,
            title=title,
            unit=unit,
            as_percent=as_percent,
            from_zero=from_zero,
            height=230.0,
        )
        found.append(Picture(title, mark_safe(svg)))  # noqa: S308  (plots escapes every name)
    return found


def outlook_rows(asked: LookAhead) -> list[OutlookRow]:
    """The last year under each policy: the median, and 5 to 95 % of the programs."""

    def words(one: dict[str, Any], figure: str, style: str) -> str:
        low, middle, high = one["figures"][figure][-1]
        if middle is None:
            return "none"
        if style == "percent":
            return f"{percent(middle)} ({percent(low)} to {percent(high)})"
        return f"{middle:.{style}f} ({low:.{style}f} to {high:.{style}f})"

    return [
        OutlookRow(
            one["says"],
            style,
            words(one, "living", "0"),
            words(one, "gene_diversity", "percent"),
            words(one, "inbreeding", "percent"),
            words(one, "founder_genomes", "1"),
            percent(one["died_out"]),
        )
        for style, one in zip(STYLES, asked.result.values(), strict=True)
    ]


@dataclass(frozen=True)
class AssumptionLine:
    """One assumption as it was taken, and where it is from."""

    words: str
    value: str
    basis: str


def assumption_lines(asked: LookAhead) -> list[AssumptionLine]:
    """Every figure the picture rests on."""
    taken = {name: one["value"] for name, one in asked.assumptions.items()}
    found = []
    for line in Assumptions(**taken).lines():
        if line.value is None:
            value = line.without or "none"
        else:
            value = percent(line.value) if line.unit == "share" else f"{line.value:g}"
        found.append(AssumptionLine(line.says, value, asked.assumptions[line.name]["basis"]))
    return found
