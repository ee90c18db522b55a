"""Changes tried on paper: they live in the page's address and nowhere else."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.litters.size import usual_litter
from breeding.pairings.queries import HERE
from breeding.planning.what_if import (
    KINDS,
    MOST_YOUNG,
    Litter,
    gone_in,
    in_words,
    named_in,
    read_trials,
    try_out,
)
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.words.diversity import measure_words
from breeding.words.language import tell


@require_safe
def what_if(request: PageRequest) -> HttpResponse:
    """What a litter, a sale, a loan or a death would change."""
    living = {
        one.pk: one for one in Animal.objects.filter(state__in=HERE).order_by("call_name", "code")
    }
    keys = request.GET.getlist("try")
    if added := _added(request):
        keys = [*keys, added]
    named = Animal.objects.in_bulk(named_in(keys)) if keys else {}
    trials, wrong = read_trials(keys, named)
    kept = [one.key for one in trials]
    gone_on_paper = gone_in(trials)
    still_here = [one for pk, one in living.items() if pk not in gone_on_paper]
    context: dict[str, Any] = {
        "females": [one for one in still_here if one.sex == "F"],
        "males": [one for one in still_here if one.sex == "M"],
        "living": still_here,
        "kinds": {kind: tell(words) for kind, words in KINDS.items()},
        "most_young": MOST_YOUNG,
        "usual": usual_litter(clock.today()),
        "wrong": wrong,
        "kept": kept,
        "trials": [
            (one, urlencode({"try": kept[:at] + kept[at + 1 :]}, doseq=True))
            for at, one in enumerate(trials)
        ],
    }
    if trials:
        found = try_out(trials, lineage.current(), list(living))
        gone = Animal.objects.in_bulk(found.lost_founders)
        context |= {
            "found": found,
            "measure": measure_words(found.before.gene_diversity),
            "words": in_words(found, {pk: one.name for pk, one in gone.items()}),
            "litters": [
                (one, found.inbreeding_of_young[one.key])
                for one in trials
                if isinstance(one, Litter)
            ],
        }
    return render(request, "planning/what_if.html", context)


def _added(request: PageRequest) -> str:
    """The change chosen in one of the two forms, as a key; empty for none."""
    asked = request.GET
    if asked.get("female") and asked.get("male"):
        return f"litter-{asked['female']}-{asked['male']}-{asked.get('young', '').strip()}"
    if asked.get("animal"):
        return f"{asked.get('kind', '')}-{asked['animal']}"
    return ""
