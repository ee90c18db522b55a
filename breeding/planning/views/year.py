"""The year in figures."""

import datetime

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal, Revision
from breeding.planning.year import said
from breeding.planning.year.pictures import YearPictures, year_pictures
from breeding.planning.year.queries import YearChoice, choice_of, year_report
from breeding.planning.year.report import YearReport
from breeding.planning.year.taken_out import TABLES, table_of
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.program.unchanged.growing import kept_from_page_to_page
from breeding.program.unchanged.marks import rests_on
from breeding.words.language import tell

MOST_SHOWN = 40  # rows of a table; the others are one tap away


@require_safe
def year(request: PageRequest) -> HttpResponse:
    """What became of the young of a year, or of all years, each figure with its interval."""
    choice = choice_of(request.GET.get("year", ""))
    if not choice.years:
        return render(request, "planning/year.html", {"choice": choice})
    report, pictures = _as_told(choice, clock.today())
    if (which := request.GET.get("table", "")) in TABLES:
        return _as_file(table_of(report, which), f"year-{choice.key}-{which}.csv")
    most = None if "all" in request.GET else MOST_SHOWN
    tables = [
        ("years", tell("By year of birth"), report.years if choice.year is None else []),
        ("dams", tell("By dam"), report.dams),
        ("sires", tell("By sire"), report.sires),
        ("pairs", tell("By pair"), report.pairs),
    ]
    context = {
        "choice": choice,
        "report": report,
        "answer": said.answer_words(report),
        "left_out": said.left_out_words(report),
        "few": said.few_words(report),
        "whole": said.rows_of([report.whole])[0],
        "sexes": said.sex_words(report),
        "ages": said.ages_words(report.steps, report.last_days),
        "pictures": pictures,
        "tables": [
            (key, heading, said.rows_of(parts[:most]), 0 if most is None else len(parts[most:]))
            for key, heading, parts in tables
        ],
    }
    return render(request, "planning/year.html", context)


def _as_told(choice: YearChoice, today: datetime.date) -> tuple[YearReport, YearPictures]:
    """Reckoned once for everybody who looks, until something that it rests on is written. Nobody
    may change it."""

    def make() -> tuple[YearReport, YearPictures]:
        rests_on(Animal, Revision)
        report = year_report(choice, asof=today)
        return report, year_pictures(report, report.last_days)

    return kept_from_page_to_page(
        ("the year in figures", choice.key, today), make, alike="the year in figures"
    )


def _as_file(rows: str, name: str) -> HttpResponse:
    answer = HttpResponse(rows.encode("utf-8-sig"), "text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
