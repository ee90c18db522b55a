"""Pages on what signs say, and what the seasons here have taught of them."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import ProfileFigure
from breeding.animals.species.profiles import all_profiles
from breeding.gestation.learning import PRIOR_WINDOWS
from breeding.pairings.models import SignKind
from breeding.pairings.season.past.learned import signs_of_closed
from breeding.pairings.season.past.lessons import every_closed
from breeding.pairings.signs.forms import SignKindForm
from breeding.pairings.signs.kinds import change_sign_kind, changes_of_signs
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.words.language import tell


@require_safe
def signs(request: PageRequest) -> HttpResponse:
    """Every kind of sign, how often it is seen, and what the closed seasons here have taught."""
    kinds = sorted(SignKind.objects.all(), key=lambda kind: -kind.strength)
    closed, unknown = every_closed(), all_profiles().unknown
    found = signs_of_closed(closed.seasons, closed.kinds, unknown, asof=clock.today())
    certainties = dict(ProfileFigure.Certainty.choices)
    context = {
        "kinds": [(kind, certainties.get(kind.certainty, "")) for kind in kinds],
        "found": found,
        "prior_windows": PRIOR_WINDOWS,
        "changes": changes_of_signs(),
    }
    return render(request, "pairings/signs.html", context)


@keepers_only
def sign(request: PageRequest, pk: int) -> HttpResponse:
    """Change how often a kind of sign is seen."""
    kind = get_object_or_404(SignKind, pk=pk)
    form = SignKindForm(request.POST or None, initial=SignKindForm.shown(kind))
    done = written(request, form, lambda: (change_sign_kind(kind, form.typed),), changing=kind)
    if done is not None:
        said = (
            tell("{sign} is changed.", sign=kind.said)
            if done[0]
            else tell("{sign} stays as it was.", sign=kind.said)
        )
        say(request, said)
        return redirect("pairings:signs")
    return render(request, "pairings/sign.html", {"form": form, "kind": kind})
