"""Whom of a litter to hold back and who may go."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.litters.models import Litter
from breeding.planning.keeping import said
from breeding.planning.keeping.reading import keeping_of, litters_to_decide
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.words.descent.diversity import measure_words


@require_safe
def litter(request: PageRequest, pk: int) -> HttpResponse:
    """One litter: the answer, each pup with its rules, and what the program would lose."""
    found = get_object_or_404(Litter.objects.select_related("dam"), pk=pk)
    if found.is_withdrawn:
        return redirect(found)
    keeping = keeping_of(found, request.program, asof=clock.today())
    context: dict[str, Any] = {
        "litter": found,
        "answer": said.answer_of(keeping),
        "rows": [(row, said.figure(row.mean_kinship), _change(row.change)) for row in keeping.rows],
        "undecided": keeping.undecided,
        "first": keeping.first,
        "may_see_buyers": request.user.may_see_buyers,
    }
    if keeping.stakes is not None:
        context |= {
            "stakes": keeping.stakes,
            "grounds": list(said.grounds_of(keeping.stakes)),
            "table": said.table_of(keeping.stakes),
            "measure": measure_words(keeping.stakes.gains.with_so_many[0], young_left_out=True),
            "founders": said.founders_of(keeping.stakes),
        }
    return render(request, "planning/litter.html", context)


def _change(change: float | None) -> str:
    return "" if change is None else said.changed(change)


@require_safe
def litters(request: PageRequest) -> HttpResponse:
    """Every litter with pups of whom nothing is decided, ranked by what the program would lose."""
    rows = [
        (
            one,
            said.answer_of_stakes(stakes, {pup.sex for pup in waiting}, which="undecided"),
            len(waiting),
            sum(pup.is_ready for pup in waiting),
            said.points(stakes.gains.lost_with_all),
        )
        for one, waiting, stakes in litters_to_decide(asof=clock.today())
    ]
    return render(request, "planning/litters.html", {"rows": rows})
