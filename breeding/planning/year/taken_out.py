"""The tables of the year in figures as CSV, for a spreadsheet."""

import csv
import io
from collections.abc import Iterator

from breeding.planning.year.report import Part, YearReport
from breeding.planning.year.statistics import Rate
from breeding.program.lists.spreadsheets import harmless
from breeding.words.language import message, tell

TABLES = ("years", "dams", "sires", "pairs", "losses", "survival")
RATES = (message("born alive"), message("lived to 30 days"), message("lived to leave"))


def table_of(report: YearReport, which: str) -> str:
    """One of the tables, every figure in a column of its own. Raises KeyError for another one."""
    if which not in TABLES:
        raise KeyError(which)
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerows(_rows(report, which))
    return out.getvalue()


def _rows(report: YearReport, which: str) -> Iterator[list[object]]:
    if which == "losses":
        yield [tell("cause"), tell("died")]
        yield from ([harmless(cause), count] for cause, count in report.losses)
    elif which == "survival":
        yield [
            *(tell("age in days"), tell("watched until then"), tell("died")),
            *(tell("alive"), tell("from"), tell("to")),
        ]
        for one in report.steps:
            yield [one.days, one.at_risk, one.died, *map(_figure, (one.alive, one.low, one.high))]
    else:
        said = [head for name in RATES for head in _heads(tell(name))]
        yield [tell("of"), tell("litters"), tell("born"), *said, tell("males"), tell("females")]
        yield from (_of_part(one) for one in getattr(report, which))


def _heads(name: str) -> list[str]:
    """How many, of how many, and the two ends of the span."""
    return [
        name,
        tell("{figure} of", figure=name),
        tell("{figure} from", figure=name),
        tell("{figure} to", figure=name),
    ]


def _of_part(one: Part) -> list[object]:
    rates = [cell for rate in (one.alive, one.thirty, one.leaving) for cell in _of_rate(rate)]
    return [harmless(one.name), one.litters, one.born, *rates, one.males, one.females]


def _of_rate(rate: Rate) -> list[object]:
    if rate.share is None:
        return ["", 0, "", ""]
    return [rate.count, rate.of, _figure(rate.low), _figure(rate.high)]


def _figure(share: float | None) -> str:
    return "" if share is None else f"{share:.4f}"
