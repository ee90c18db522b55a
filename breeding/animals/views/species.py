"""Pages on species and the figures that the reckoning rests on."""

from pathlib import Path

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from breeding.animals.models import Profile, ProfileFigure, Species
from breeding.animals.species.figures import change_figures, changes_of, in_order, rule_of
from breeding.animals.species.forms import FiguresForm
from breeding.animals.species.listings import listings_in_use
from breeding.animals.species.panels import figure_panels
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.words.numbers import counted

# More than an assumption or a habit: somebody measured it and said so.
FOUNDED = (ProfileFigure.Certainty.PUBLISHED, ProfileFigure.Certainty.KEEPER)


@require_safe
def species(request: PageRequest) -> HttpResponse:
    """Species, and the figures the reckoning rests on, each with its source."""
    panels = figure_panels(request)
    unit = request.program.length_unit
    profiles = []
    for profile in Profile.objects.prefetch_related("figures", "species"):
        known = {one.name: one for one in profile.figures.all()}
        profiles.append(
            {
                "profile": profile,
                "figures": [
                    (rule_of(one.name).label, rule_of(one.name).words(one.value, unit), one)
                    for one in in_order(known.values())
                ],
                "mean": known.get("gestation_mean_days"),
                "sd": known.get("gestation_sd_days"),
                "founded": sum(one.certainty in FOUNDED for one in known.values()),
                "learned": panels.get(profile.key, []),
            }
        )
    listings = listings_in_use(Path(settings.HOME))
    context = {
        "species": [
            (one, listings.law_of(one)) for one in Species.objects.select_related("profile")
        ],
        "listings": listings,
        "warning": listings.warning(clock.today()),
        "profiles": profiles,
        "further": panels.get("", []),
    }
    return render(request, "animals/species.html", context)


@keepers_only
def figures(request: PageRequest, pk: int) -> HttpResponse:
    """Change the figures of one profile; what they were stays in the history."""
    profile = get_object_or_404(Profile.objects.prefetch_related("figures"), pk=pk)
    unit = request.program.length_unit
    form = FiguresForm(request.POST or None, profile=profile, length_unit=unit)
    places = {name: f"{name}_value" for name in form.names}
    changed = written(
        request, form, lambda: change_figures(profile, form.typed, length_unit=unit), places
    )
    if changed is not None:
        said = counted(len(changed), "figure") if changed else "No figure"
        say(request, f"{said} of {profile.label} changed.")
        return redirect(f"{reverse('animals:species')}#{profile.key}")
    changes = changes_of(profile, length_unit=unit)
    context = {"profile": profile, "form": form, "changes": changes}
    return render(request, "animals/figures.html", context)
