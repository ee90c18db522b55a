"""Logging what was seen at the tank."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.pairings import queries, services
from breeding.pairings.care.severity import DEGREES
from breeding.pairings.care.wounds import harm_of
from breeding.pairings.forms import (
    SightingForm,
)
from breeding.pairings.models import Sighting, SignKind
from breeding.pairings.season.reading import season_of
from breeding.pairings.tables import ALL_SIGHTINGS
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.problems.beside import written
from breeding.words.chances import chance


@keepers_only
def log(request: PageRequest) -> HttpResponse:
    """Log a sighting: who, what was seen, done."""
    kinds = list(SignKind.objects.all())
    asked = {kind.key: kind.pk for kind in kinds}.get(request.GET.get("kind", ""))
    form = SightingForm(
        request.POST or None,
        request.FILES or None,
        initial={"female": request.GET.get("female"), "kind": asked},
    )
    if sighting := written(request, form, lambda: _log(request, form)):
        if sighting.female.sex != Animal.Sex.FEMALE:
            say(request, f"Written: {sighting.female.name}, {sighting.kind.label.lower()}.")
            return redirect("agenda:day")
        season = season_of(sighting.female, request.program, asof=clock.today())
        say(
            request,
            f"Written: {sighting.female.name}, {sighting.kind.label.lower()}. Chance that she "
            f"is pregnant: {chance(season.estimate.chance)}.",
        )
        if harm_of(season) is not None:
            return redirect("pairings:female", sighting.female_id)
        return redirect("agenda:day")
    females = queries.females_to_log(clock.today())
    words = request.GET.get("q", "").replace("\x00", "").strip()[:60]
    chosen = request.POST.get("female") or request.GET.get("female")
    others = queries.others_to_log(females, words=words, chosen=chosen)
    context = {
        "form": form,
        "females": females,
        "others": others,
        "chosen_other": any(str(one.pk) == chosen for one in others),
        "most": queries.OTHERS_SHOWN,
        "words": words,
        "kinds": kinds,
        "degrees": DEGREES,
        "limit": request.program.separate_at_severity,
    }
    return render(request, "pairings/log.html", context)


def _log(request: PageRequest, form: SightingForm) -> Sighting:
    facts, now = form.cleaned_data, clock.now()
    return services.log_sighting(
        **facts | {"seen_at": facts["seen_at"] or now}, now=now, by=request.user
    )


@require_safe
def sightings(request: PageRequest) -> HttpResponse:
    """Everything seen of any female, the latest first."""
    return list_page(request, "pairings/sightings.html", ALL_SIGHTINGS)
