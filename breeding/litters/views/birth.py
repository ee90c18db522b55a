"""A birth written down pup by pup at the tank, while it happens."""

import datetime

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.litters.births.joining import surely_young_of
from breeding.litters.births.under_way import birth_under_way, end_birth, next_pup
from breeding.litters.forms import TappedPupForm
from breeding.litters.models import Litter, Pup
from breeding.litters.queries import (
    company_words,
    likely_parents,
    likely_parents_of,
    males_with,
)
from breeding.litters.raising.first_food import first_food_of
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import pressed, written
from breeding.program.problems.doubts import sure_in
from breeding.words.language import later, message_many, tell, tell_many

THAT_WAS_ALL, WITH_THIS, WITHOUT_THIS = "1", "with", "without"  # how a birth is ended


@keepers_only
def birth(request: PageRequest, pk: int) -> HttpResponse:
    """The next pup of this female; the first begins her litter, a tap ends it."""
    dam = get_object_or_404(Animal, pk=pk, sex=Animal.Sex.FEMALE)
    today = clock.today()
    litter = birth_under_way(dam, on=today)
    form = TappedPupForm(
        request.POST or None,
        request.FILES or None,
        program=request.program,
        today=today,
        is_first=litter is None,
    )
    over = request.POST.get("over", "")
    if over == WITHOUT_THIS or (over == THAT_WAS_ALL and not form.is_begun):
        return _over(request, dam, litter)
    if over == THAT_WAS_ALL:
        form.full_clean()
        form.add_error(None, tell("This pup is not written yet: save it, or end without it."))
    elif pup := written(request, form, lambda: _next(request, dam, form, over)):
        return _after_this(request, pup)
    pups = list(litter.pups.select_related("animal")) if litter else []
    is_known = any(one.alive for one in pups)
    parents = None if is_known else _parents(request, dam, today)
    context = {
        "dam": dam,
        "litter": litter,
        "form": form,
        "is_refused": form.is_bound and over != THAT_WAS_ALL,
        "pups": pups,
        "dead": sum(not one.alive for one in pups),
        "males": [] if litter else males_with([dam], today, today),
        "may_be_young": [] if litter else list(surely_young_of(dam, today)),
        "parents": parents,
        "sires_said": ", ".join(male.name for male, _share in parents.possible_sires)
        if parents
        else "",
        "first_food": first_food_of(dam),
    }
    return render(request, "litters/birth.html", context)


def _next(request: PageRequest, dam: Animal, form: TappedPupForm, over: str) -> Pup:
    facts, today = form.facts, clock.today()
    assert facts is not None  # noqa: S101  (its fate is required)
    born_on = form.cleaned_data.get("born_on") or today
    pup = next_pup(
        dam,
        facts,
        born_on=born_on,
        parents=_parents(request, dam, born_on),
        picture=form.cleaned_data["picture"],
        today=today,
        by=request.user,
        sure=sure_in(request.POST),
    )
    if over == WITH_THIS:
        end_birth(pup.litter)
    return pup


def _after_this(request: PageRequest, pup: Pup) -> HttpResponse:
    """The receipt of a pup, and where it goes on: the next one, or what comes after the birth."""
    said = company_words(pup.litter, request.program, asof=clock.today())
    whole = () if pup.litter.is_under_way else (_whole_words(pup.litter),)
    say(request, _pup_words(pup), *whole, tell("Keep males away."), said)
    if whole:
        return redirect("litters:after", pup.litter_id)
    return redirect("litters:birth", pup.litter.dam_id)


def _parents(request: PageRequest, dam: Animal, born_on: datetime.date) -> Parents:
    """Whose her pups of this day are, before the first of them that lives says it for all."""
    if litter := birth_under_way(dam, on=born_on):
        return likely_parents_of(litter, request.program)
    return likely_parents(dam, request.program, asof=born_on)


def _pup_words(pup: Pup) -> str:
    """The receipt: what was written, and how many there are."""
    named = {"place": pup.number, "code": pup.litter.code}
    number = pup.litter.pups.count()
    if pup.sex == Animal.Sex.UNKNOWN:
        fates = ALIVE if pup.alive else DEAD
        return tell_many(*fates, number, **named)
    fates = ALIVE_OF_SEX if pup.alive else DEAD_OF_SEX
    return tell_many(*fates, number, **named, sex=later(pup.get_sex_display))


ALIVE = message_many(
    "Pup {place} of litter {code}: alive. {number} pup so far.",
    "Pup {place} of litter {code}: alive. {number} pups so far.",
)
DEAD = message_many(
    "Pup {place} of litter {code}: dead. {number} pup so far.",
    "Pup {place} of litter {code}: dead. {number} pups so far.",
)
ALIVE_OF_SEX = message_many(
    "Pup {place} of litter {code}: alive, {sex}. {number} pup so far.",
    "Pup {place} of litter {code}: alive, {sex}. {number} pups so far.",
)
DEAD_OF_SEX = message_many(
    "Pup {place} of litter {code}: dead, {sex}. {number} pup so far.",
    "Pup {place} of litter {code}: dead, {sex}. {number} pups so far.",
)


def _over(request: PageRequest, dam: Animal, litter: Litter | None) -> HttpResponse:
    if litter is None:
        return redirect("litters:birth", dam.pk)
    if pressed(request, lambda: end_birth(litter)):
        say(request, _whole_words(litter))
        return redirect("litters:after", litter.pk)
    return redirect("litters:birth", dam.pk)


def _whole_words(litter: Litter) -> str:
    return tell_many(
        "Litter {code} of {dam} is whole: {number} pup.",
        "Litter {code} of {dam} is whole: {number} pups.",
        litter.pups.count(),
        code=litter.code,
        dam=litter.dam.name,
    )
