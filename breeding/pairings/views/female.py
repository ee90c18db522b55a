"""A female's season: what was seen of her, scans, outcomes, wounds."""

import datetime
from typing import Any

from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.pairings import services
from breeding.pairings.care.eating import meals_left
from breeding.pairings.care.healing import harm_open_of
from breeding.pairings.care.rest import rest_until
from breeding.pairings.care.separation import (
    separation_of,
)
from breeding.pairings.care.severity import DEGREES
from breeding.pairings.care.thinning import weight_loss_words
from breeding.pairings.care.wounds import (
    course_words,
    harm_of,
    latest_wounds,
    wounds_among,
    wounds_of,
)
from breeding.pairings.forms import (
    AsOfForm,
    OutcomeForm,
    ScanForm,
)
from breeding.pairings.models import Rest
from breeding.pairings.season.drawings import draw_season
from breeding.pairings.season.hints import hints_on
from breeding.pairings.season.questions import questions_of
from breeding.pairings.season.reading import season_of
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.words.language import tell

WOUNDS_SHOWN = 4
SEEN_SHOWN = 50


@require_safe
def female(request: PageRequest, pk: int) -> HttpResponse:
    """A female's season: chance, window, reasons, what follows, and everything seen."""
    females = Animal.objects.filter(sex=Animal.Sex.FEMALE).select_related("portrait")
    animal = get_object_or_404(females, pk=pk)
    today = clock.today()
    asked = AsOfForm(request.GET if "asof" in request.GET else None, today=today)
    asof = asked.cleaned_data["asof"] if asked.is_bound and asked.is_valid() else today
    reading = season_of(animal, request.program, asof=asof)
    sightings, scans, pairings, outcomes, rests, withdrawn = _recorded_of(animal)
    latest = next(iter(pairings), None)
    context = {
        "animal": animal,
        "season": reading,
        "harm": None if asof != today else harm_of(reading),
        "open_harm": harm_open_of(animal, asof=today),
        "wounds": wounds_among(latest_wounds(animal, WOUNDS_SHOWN)),
        "thinning": weight_loss_words(reading, request.program),
        "rest_until": rest_until(animal, request.program, asof=asof),
        "separation": separation_of(latest, request.program) if latest else None,
        "drawing": draw_season(reading),
        "questions": [*questions_of(reading), *hints_on(asof, animal)],
        "asked": asked,
        "asof": asof,
        "is_past": asof != today,
        "sightings": sightings[:SEEN_SHOWN],
        "are_more_seen": len(sightings) > SEEN_SHOWN,
        "meals_left": meals_left(animal, since=reading.last_outcome, asof=asof),
        "scans": scans,
        "pairings": pairings,
        "outcomes": outcomes,
        "rests": rests,
        "withdrawn": withdrawn,
    }
    return render(request, "pairings/female.html", context)


def _recorded_of(animal: Animal) -> list[list[Any]]:
    """What is on record of her, kind by kind, what counts; last all that was withdrawn.

    Of what was seen the latest, one more than are shown.
    """
    people = ("recorded_by", "withdrawn_by")
    seen = animal.sightings.select_related("kind", "male", "photograph", *people)
    counts = Q(withdrawn_at__isnull=True)
    latest = list(seen.filter(counts)[: SEEN_SHOWN + 1])
    found: list[list[Any]] = [
        [*latest, *seen.exclude(counts)],
        list(animal.scans.select_related(*people)),
        list(animal.pairings_as_female.select_related("male", "moved_to", *people)),
        list(animal.outcomes.select_related("litter", *people)),
        list(
            Rest.objects.filter(outcome__female=animal).select_related("outcome__female", *people)
        ),
    ]
    counting = [[one for one in kind if not one.is_withdrawn] for kind in found]
    return [*counting, [one for kind in found for one in kind if one.is_withdrawn]]


@require_safe
def wounds(request: PageRequest, pk: int) -> HttpResponse:
    """A female's bite marks over time, side by side, with dates and severity."""
    animal = get_object_or_404(Animal, pk=pk, sex=Animal.Sex.FEMALE)
    season = season_of(animal, request.program, asof=clock.today())
    looks = wounds_of(animal)
    context = {
        "animal": animal,
        "season": season,
        "harm": harm_of(season),
        "wounds": looks,
        "course": course_words(looks),
        "degrees": DEGREES,
        "limit": request.program.separate_at_severity,
    }
    return render(request, "pairings/wounds.html", context)


@keepers_only
def scan(request: PageRequest, pk: int) -> HttpResponse:
    """Write down a scan."""
    return _about_female(request, pk, ScanForm, "pairings/scan.html")


@keepers_only
def outcome(request: PageRequest, pk: int) -> HttpResponse:
    """Close a season that ended without a birth to record."""
    return _about_female(request, pk, OutcomeForm, "pairings/outcome.html")


def _about_female(
    request: PageRequest,
    pk: int,
    form_class: type[ScanForm] | type[OutcomeForm],
    page: str,
) -> HttpResponse:
    animal = get_object_or_404(Animal, pk=pk, sex=Animal.Sex.FEMALE)
    today: datetime.date = clock.today()
    form = form_class(request.POST or None, initial={"on": today})
    act = services.record_scan if form_class is ScanForm else services.record_outcome
    if written(
        request,
        form,
        lambda: act(female=animal, today=today, by=request.user, **form.cleaned_data),
    ):
        say(request, tell("Written down for {animal}.", animal=animal.name))
        return redirect("pairings:female", animal.pk)
    return render(request, page, {"form": form, "animal": animal})
