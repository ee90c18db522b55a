"""Pages on species and the figures that the reckoning rests on."""

from collections.abc import Iterable, Mapping
from pathlib import Path

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from breeding.animals.models import Profile, ProfileFigure, Species
from breeding.animals.species.adding import add_species, blank_start, start_from
from breeding.animals.species.doubts import far_from_relatives
from breeding.animals.species.figures import change_figures, changes_of, in_order
from breeding.animals.species.forms import FiguresForm, NewSpeciesForm, StartForm
from breeding.animals.species.listings import listings_in_use
from breeding.animals.species.panels import figure_panels
from breeding.animals.species.rules import rule_of, source_said
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import Doubt, sure_in
from breeding.words.language import tell, tell_many

# More than an assumption or a habit: somebody measured it and said so.
FOUNDED = (ProfileFigure.Certainty.PUBLISHED, ProfileFigure.Certainty.KEEPER)


@require_safe
def species(request: PageRequest) -> HttpResponse:
    """Species, and the figures the reckoning rests on, each with its source."""
    panels = figure_panels(request)
    unit = request.program.length_unit
    profiles = []
    every = list(Species.every.select_related("profile", "withdrawn_by"))
    gone = {one.profile_id for one in every} - {
        one.profile_id for one in every if not one.is_withdrawn
    }
    for profile in Profile.objects.exclude(pk__in=gone).prefetch_related("figures"):
        known = {one.name: one for one in profile.figures.all()}
        profiles.append(
            {
                "profile": profile,
                "figures": [
                    (rule.said, rule.words(one.value, unit), one, source_said(one.source))
                    for one in in_order(known.values())
                    for rule in [rule_of(one.name)]
                ],
                "mean": known.get("gestation_mean_days"),
                "sd": known.get("gestation_sd_days"),
                "founded": sum(one.certainty in FOUNDED for one in known.values()),
                "learned": panels.get(profile.key, []),
            }
        )
    listings = listings_in_use(Path(settings.HOME))
    context = {
        "species": [(one, listings.law_of(one)) for one in every if not one.is_withdrawn],
        "withdrawn": [one for one in every if one.is_withdrawn],
        "listings": listings,
        "warning": listings.warning(clock.today()),
        "profiles": profiles,
        "further": panels.get("", []),
    }
    return render(request, "animals/species.html", context)


@keepers_only
def new_species(request: PageRequest) -> HttpResponse:
    """Write down a species; it begins with the figures of another or of any live-bearing fish."""
    chosen = StartForm(request.GET)
    like = chosen.cleaned_data["start"] if chosen.is_valid() else None
    start = blank_start() if like is None else start_from(like)
    unit = request.program.length_unit
    form = NewSpeciesForm(request.POST or None, start=start, length_unit=unit)
    places = {name: f"{name}_value" for name in form.names}
    added = written(
        request,
        form,
        lambda: add_species(
            by=request.user,
            start=start,
            typed=form.typed,
            length_unit=unit,
            sure=sure_in(request.POST),
            **form.facts,
        ),
        places,
    )
    if added is not None:
        said = tell_many(
            "{species} is written down with {number} figure.",
            "{species} is written down with {number} figures.",
            len(form.names),
            species=added,
        )
        say(request, said)
        return redirect(added)
    context = {"form": form, "chosen": chosen, "start": start, "asked": like}
    return render(request, "animals/new_species.html", context)


@keepers_only
def figures(request: PageRequest, pk: int) -> HttpResponse:
    """Change the figures of one profile; what they were stays in the history."""
    profile = get_object_or_404(Profile.objects.prefetch_related("figures"), pk=pk)
    unit = request.program.length_unit
    form = FiguresForm(request.POST or None, profile=profile, length_unit=unit)
    places = {name: f"{name}_value" for name in form.names}
    changed = written(request, form, lambda: _change(request, profile, form), places)
    if changed is not None:
        say(request, _changed_words(profile, len(changed)))
        return redirect(f"{reverse('animals:species')}#{profile.key}")
    changes = changes_of(profile, length_unit=unit)
    context = {"profile": profile, "form": form, "changes": changes}
    return render(request, "animals/figures.html", context)


def _changed_words(profile: Profile, number: int) -> str:
    if not number:
        return tell("No figure of {profile} changed.", profile=profile.label_said)
    return tell_many(
        "{number} figure of {profile} changed.",
        "{number} figures of {profile} changed.",
        number,
        profile=profile.label_said,
    )


def _change(request: PageRequest, profile: Profile, form: FiguresForm) -> list[ProfileFigure]:
    unit = request.program.length_unit
    of_it = profile.species.first()

    def far(values: Mapping[str, float], changed: frozenset[str]) -> Iterable[Doubt]:
        return far_from_relatives(of_it, values, unit, changed=changed) if of_it else ()

    return change_figures(
        profile, form.typed, length_unit=unit, doubts=far, sure=sure_in(request.POST)
    )
