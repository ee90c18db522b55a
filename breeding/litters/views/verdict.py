"""What is decided of a young one: held back, let go, culled."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from breeding.animals.models import Animal
from breeding.litters.models import Litter, Pup, Verdict
from breeding.litters.verdicts import deciding as verdicts
from breeding.litters.verdicts.forms import VerdictForm
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import pressed, written
from breeding.program.problems.doubts import sure_in
from breeding.words.language import later, tell_many


@keepers_only
def verdict(request: PageRequest, animal_pk: int) -> HttpResponse:
    """Decide of one animal; "may go" and "held back" are one tap more."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    pup = Pup.objects.select_related("litter").filter(animal=animal).first()
    asked = request.GET.get("decision", "")
    initial = {"decision": asked if asked in Verdict.Decision.values else None}
    form = VerdictForm(request.POST or None, initial=initial, today=clock.today())
    if kept := written(request, form, lambda: _record(request, animal, form)):
        say(request, later(lambda: f"{animal.name}: {kept.get_decision_display()}."))
        if kept.decision == Verdict.Decision.CULL or pup is None:
            return redirect(animal)
        return redirect(reverse("planning:litter", args=[pup.litter_id]))
    standing = verdicts.decided(animal)
    context = {
        "animal": animal,
        "pup": pup,
        "form": form,
        "decided": standing,
        "caution": verdicts.CULL_CAUTION,
    }
    return render(request, "litters/verdict.html", context)


def _record(request: PageRequest, animal: Animal, form: VerdictForm) -> Verdict:
    return verdicts.record_verdict(
        animal,
        today=clock.today(),
        by=request.user,
        sure=sure_in(request.POST),
        **form.cleaned_data,
    )


@keepers_only
@require_POST
def let_go(request: PageRequest, pk: int) -> HttpResponse:
    """All pups of a litter of whom nothing is decided may go: one tap."""
    litter = get_object_or_404(Litter, pk=pk)
    gone = pressed(
        request,
        lambda: verdicts.let_the_others_go(litter, on=clock.today(), by=request.user),
    )
    if gone is not None:
        said = tell_many(
            "{number} pup of litter {code} may go, as soon as each is fit to.",
            "{number} pups of litter {code} may go, as soon as each is fit to.",
            len(gone),
            code=litter.code,
        )
        say(request, said)
    return redirect("planning:litter", litter.pk)
