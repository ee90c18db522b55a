"""What a look ahead came to, as plots, as a table, and its assumptions in words."""

from dataclasses import dataclass
from typing import Any

from django.utils.formats import number_format
from django.utils.safestring import SafeString, mark_safe

from breeding.planning.ahead.own_figures import basis_words
from breeding.planning.models import LookAhead
from breeding.program.plots import Series, over_years
from breeding.words.language import message, tell
from breeding.words.numbers import percent
from pedigree.ahead.assumptions import Assumptions

STYLES = ("line-a", "line-b", "line-c")
PLOTTED = (
    (
        "gene_diversity",
        message("Gene diversity of the living"),
        message("gene diversity, %"),
        True,
        False,
    ),
    ("inbreeding", message("Mean F of the living"), message("F, %"), True, True),
    ("living", message("Living animals"), message("animals"), False, True),
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
                    tell(one["says"]),
                    [(year, middle) for year, _, middle, _ in years],
                    style,
                    [(year, low, high) for year, low, _, high in years],
                )
            )
        svg = over_years(
            series,
            id=figure,
            title=tell(title),
            unit=tell(unit),
            as_percent=as_percent,
            from_zero=from_zero,
            height=230.0,
        )
        found.append(Picture(tell(title), mark_safe(svg)))  # noqa: S308  (plots escapes every name)
    return found


def outlook_rows(asked: LookAhead) -> list[OutlookRow]:
    """The last year under each policy: the median, and 5 to 95 % of the programs."""

    def words(one: dict[str, Any], figure: str, style: str) -> str:
        low, middle, high = one["figures"][figure][-1]
        if middle is None:
            return tell("none")
        middle, low, high = (
            percent(one) if style == "percent" else number_format(one, int(style), use_l10n=True)
            for one in (middle, low, high)
        )
        return tell("{middle} ({low} to {high})", middle=middle, low=low, high=high)

    return [
        OutlookRow(
            tell(one["says"]),
            style,
            words(one, "living", "0"),
            words(one, "gene_diversity", "percent"),
            words(one, "inbreeding", "percent"),
            words(one, "founder_genomes", "1"),
            percent(one["died_out"]),
        )
        for style, one in zip(STYLES, asked.result.values(), strict=True)
    ]


def _plain(value: float) -> str:
    return str(number_format(f"{value:g}", use_l10n=True))


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
            value = tell(line.without or "none")
        else:
            value = percent(line.value) if line.unit == "share" else _plain(line.value)
        basis = basis_words(asked.assumptions[line.name]["basis"])
        found.append(AssumptionLine(tell(line.says), value, basis))
    return found
