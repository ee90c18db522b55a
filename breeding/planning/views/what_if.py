"""Changes tried on paper: they live in the page's address and nowhere else."""

from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.litters.size import usual_litter
from breeding.planning.forms import TrialForm
from breeding.planning.queries import living_keys
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
from breeding.words.descent.diversity import measure_words
from breeding.words.language import tell


@require_safe
def what_if(request: PageRequest) -> HttpResponse:
    """What a litter, a sale, a loan or a death would change."""
    keys, unread = request.GET.getlist("try"), []
    try:
        if added := _added(request):
            keys = [*keys, added]
    except ValidationError as problem:
        unread = problem.messages
    named = Animal.objects.in_bulk(named_in(keys)) if keys else {}
    trials, wrong = read_trials(keys, named)
    kept = [one.key for one in trials]
    living = living_keys()
    context: dict[str, Any] = {
        "form": TrialForm(gone=gone_in(trials)),
        "living": living,
        "kinds": {kind: tell(words) for kind, words in KINDS.items()},
        "most_young": MOST_YOUNG,
        "usual": usual_litter(clock.today()),
        "wrong": [*unread, *wrong],
        "kept": kept,
        "trials": [
            (one, urlencode({"try": kept[:at] + kept[at + 1 :]}, doseq=True))
            for at, one in enumerate(trials)
        ],
    }
    if trials:
        found = try_out(trials, lineage.current(), living)
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
    """The change chosen in one of the two forms, as a key; empty for none. Raises ValidationError
    where a name is nobody's."""
    asked, form = request.GET, TrialForm(gone=())
    if asked.get("female") and asked.get("male"):
        female, male = (form.key_of(name, asked[name]) for name in ("female", "male"))
        return f"litter-{female}-{male}-{asked.get('young', '').strip()}"
    if asked.get("animal"):
        return f"{asked.get('kind', '')}-{form.key_of('animal', asked['animal'])}"
    return ""
