"""Pages on what signs say, and how the seasons with them turned out here."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import ProfileFigure
from breeding.pairings.models import SignKind
from breeding.pairings.season.closed import SIGN_PRIOR_SEASONS, closed_seasons, sign_records
from breeding.pairings.season.exposure import exposure_of
from breeding.pairings.season.facts import gather
from breeding.pairings.sign_forms import SignKindForm
from breeding.pairings.sign_kinds import SignTyped, change_sign_kind, changes_of_signs
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import add_problems


@require_safe
def signs(request: PageRequest) -> HttpResponse:
    """Every kind of sign, what it adds, and how the closed seasons with it turned out."""
    kinds = list(SignKind.objects.all())
    facts = gather()
    closed = closed_seasons(facts, exposure_of(facts.together))
    certainties = dict(ProfileFigure.Certainty.choices)
    context = {
        "kinds": [(kind, certainties.get(kind.certainty, "")) for kind in kinds],
        "records": [one for one in sign_records(closed, kinds) if one.seasons],
        "prior_seasons": SIGN_PRIOR_SEASONS,
        "changes": changes_of_signs(),
    }
    return render(request, "pairings/signs.html", context)


@keepers_only
def sign(request: PageRequest, pk: int) -> HttpResponse:
    """Change how much a kind of sign counts."""
    kind = get_object_or_404(SignKind, pk=pk)
    shown = {name: getattr(kind, name) for name in SignKindForm.base_fields}
    form = SignKindForm(request.POST or None, initial=shown)
    if request.method == "POST" and form.is_valid():
        try:
            changed = change_sign_kind(kind, SignTyped(**form.cleaned_data))
        except ValidationError as problem:
            add_problems(form, problem)
        else:
            said = "is changed" if changed else "stays as it was"
            messages.success(request, f"{kind.label} {said}.")
            return redirect("pairings:signs")
    return render(request, "pairings/sign.html", {"form": form, "kind": kind})
