"""Pups: one more of a litter, moved to another, and those on record that are of one."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from breeding.litters.births.joining import join_young
from breeding.litters.births.pups import move_pup as move_to_litter
from breeding.litters.births.under_way import further_pup
from breeding.litters.correction_forms import JoinForm, MovePupForm
from breeding.litters.forms import TappedPupForm
from breeding.litters.models import Litter, Pup
from breeding.litters.queries import company_words, likely_parents_of
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import sure_in
from breeding.words.language import tell, tell_many


@keepers_only
def add_pup(request: PageRequest, pk: int) -> HttpResponse:
    """One more pup of a recorded litter."""
    litter = get_object_or_404(Litter.objects.select_related("dam"), pk=pk)
    if litter.is_withdrawn and request.method != "POST":
        return redirect(litter)
    form = TappedPupForm(
        request.POST or None,
        request.FILES or None,
        program=request.program,
        today=clock.today(),
        is_first=False,
    )
    if written(request, form, lambda: _add_pup(request, litter, form)):
        said = company_words(litter, request.program, asof=clock.today())
        say(
            request,
            tell("One more pup is in litter {code}. {said}", code=litter.code, said=said).strip(),
        )
        return redirect(litter)
    return render(request, "litters/add_pup.html", {"form": form, "litter": litter})


def _add_pup(request: PageRequest, litter: Litter, form: TappedPupForm) -> Pup:
    assert form.facts is not None  # noqa: S101  (its fate is required)
    return further_pup(
        litter,
        form.facts,
        parents=likely_parents_of(litter, request.program),
        picture=form.cleaned_data["picture"],
        today=clock.today(),
        by=request.user,
        sure=sure_in(request.POST),
    )


@keepers_only
def move_pup(request: PageRequest, pk: int) -> HttpResponse:
    """A pup that stands in the wrong litter; its day, dam and sires follow the right one."""
    pups = Pup.objects.select_related("litter__dam", "litter__outcome", "animal")
    pup = get_object_or_404(pups, pk=pk)
    form = MovePupForm(request.POST or None, litter=pup.litter)
    moved = written(
        request, form, lambda: move_to_litter(pup, form.cleaned_data["to"]), changing=pup
    )
    if moved is not None:
        if moved.animal:
            said = tell(
                "{animal} is {pup} now; day, dam and sires are those of that litter.",
                animal=moved.animal.name,
                pup=moved,
            )
        else:
            said = tell("It is {pup} now; day, dam and sires are those of that litter.", pup=moved)
        say(request, said)
        return redirect(moved.litter)
    return render(request, "litters/move_pup.html", {"form": form, "pup": pup})


@keepers_only
def join(request: PageRequest, pk: int) -> HttpResponse:
    """Young on record that are pups of this litter, instead of being written a second time."""
    litter = get_object_or_404(Litter.objects.select_related("dam", "outcome"), pk=pk)
    if litter.is_withdrawn and request.method != "POST":
        return redirect(litter)
    form = JoinForm(request.POST or None, litter=litter)
    pups = written(
        request,
        form,
        lambda: join_young(
            litter,
            form.cleaned_data["young"],
            keep_their_sires=form.cleaned_data["keep_their_sires"],
            by=request.user,
        ),
    )
    if pups:
        said = tell_many(
            "{number} animal on record joined to litter {code}.",
            "{number} animals on record joined to litter {code}.",
            len(pups),
            code=litter.code,
        )
        say(request, said)
        return redirect(litter)
    return render(request, "litters/join.html", {"form": form, "litter": litter})
