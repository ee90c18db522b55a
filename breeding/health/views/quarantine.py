"""Pages of quarantine: who is in it, kept apart by word, let out."""

import datetime
from collections.abc import Sequence

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.health.apart.forms import KeepApartForm, LetOutForm, day_of
from breeding.health.apart.services import keep_apart as keep_them_apart
from breeding.health.apart.services import let_out as let_them_out
from breeding.health.apart.standing import everybody_apart, with_those_beside
from breeding.housing.queries import companions
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import sure_in
from breeding.words.language import later, tell, tell_many
from breeding.words.numbers import joined, some

MOST_NAMED = 6


@require_safe
def quarantine(request: PageRequest) -> HttpResponse:
    """Everybody in quarantine, by the water they share, with until when and why."""
    today = clock.today()
    groups = [
        (group, [(one, one.is_done_on(today)) for one in group.those])
        for group in everybody_apart(today)
    ]
    return render(request, "health/quarantine.html", {"groups": groups})


@keepers_only
def keep_apart(request: PageRequest, pk: int) -> HttpResponse:
    """An animal is in quarantine from a day on, alone or with those in its tank."""
    animal = get_object_or_404(Animal, pk=pk)
    today, others = clock.today(), companions(animal)
    form = KeepApartForm(
        request.POST or None,
        among=[animal, *others],
        initial={**day_of(today), "animals": [animal.pk]},
    )
    rows = written(
        request,
        form,
        lambda: keep_them_apart(today=today, by=request.user, **form.cleaned_data),
    )
    if rows is not None:
        names = joined([row.animal.name for row in rows])
        say(
            request,
            tell_many(
                "{animals} is in quarantine.",
                "{animals} are in quarantine.",
                len(rows),
                animals=names,
            ),
            _not_apart_words(animal, others, today),
        )
        return redirect(animal)
    context = {"form": form, "animal": animal, "others": others}
    return render(request, "health/keep_apart.html", context)


def _not_apart_words(animal: Animal, others: Sequence[Animal], today: datetime.date) -> str:
    """Who shares its water and is in no quarantine; "" where nobody does."""
    apart = {one.animal.pk for one in with_those_beside(animal, today)}
    left = [one.name for one in others if one.pk not in apart]
    if not left:
        return ""
    return tell_many(
        "{animals} shares this water and is not in quarantine.",
        "{animals} share this water and are not in quarantine.",
        len(left),
        animals=some(left, MOST_NAMED),
    )


@keepers_only
def let_out(request: PageRequest, pk: int) -> HttpResponse:
    """The quarantine of an animal ends, with that of those who share its water."""
    animal = get_object_or_404(Animal, pk=pk)
    today = clock.today()
    those = with_those_beside(animal, today)
    form = LetOutForm(
        request.POST or None,
        among=[one.animal for one in those],
        initial={**day_of(today), "animals": [one.animal.pk for one in those]},
    )
    rows = written(
        request,
        form,
        lambda: let_them_out(
            today=today, by=request.user, sure=sure_in(request.POST), **form.cleaned_data
        ),
    )
    if rows is not None:
        names = joined([row.animal.name for row in rows])
        say(
            request,
            tell(
                "The quarantine of {animals} has ended: {result}.",
                animals=names,
                result=later(rows[0].get_result_display),
            ),
        )
        return redirect(animal)
    context = {
        "form": form,
        "animal": animal,
        "those": [(one, one.is_done_on(today)) for one in those],
    }
    return render(request, "health/let_out.html", context)
