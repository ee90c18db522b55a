"""The year in figures."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.planning.year import said
from breeding.planning.year.pictures import year_pictures
from breeding.planning.year.queries import choice_of, year_report
from breeding.planning.year.taken_out import TABLES, table_of
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.words.language import tell


@require_safe
def year(request: PageRequest) -> HttpResponse:
    """What became of the young of a year, or of all years, each figure with its interval."""
    choice = choice_of(request.GET.get("year", ""))
    if not choice.years:
        return render(request, "planning/year.html", {"choice": choice})
    report = year_report(choice, asof=clock.today())
    if (which := request.GET.get("table", "")) in TABLES:
        return _as_file(table_of(report, which), f"year-{choice.key}-{which}.csv")
    by_year = report.years if choice.year is None else []
    context = {
        "choice": choice,
        "report": report,
        "answer": said.answer_words(report),
        "left_out": said.left_out_words(report),
        "few": said.few_words(report),
        "whole": said.rows_of([report.whole])[0],
        "sexes": said.sex_words(report),
        "ages": said.ages_words(report.steps, report.last_days),
        "pictures": year_pictures(report, report.last_days),
        "tables": [
            (
                "years",
                tell("By year of birth"),
                said.rows_of(by_year),
            ),
            ("dams", tell("By dam"), said.rows_of(report.dams)),
            ("sires", tell("By sire"), said.rows_of(report.sires)),
            ("pairs", tell("By pair"), said.rows_of(report.pairs)),
        ],
    }
    return render(request, "planning/year.html", context)


def _as_file(rows: str, name: str) -> HttpResponse:
    answer = HttpResponse(rows.encode("utf-8-sig"), "text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
