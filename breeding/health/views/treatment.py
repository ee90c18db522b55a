"""Pages on treatments: begun, read, ended."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.health.illness.forms import EndForm, TreatmentForm
from breeding.health.illness.medicines import harm_words, harmful_in, words_of_treated
from breeding.health.illness.said import prescribed_words
from breeding.health.illness.treating import (
    end_treatment,
    treated_animals,
)
from breeding.health.illness.treating import (
    treat as treat_it,
)
from breeding.health.models import Treatment
from breeding.program import clock
from breeding.program.acts.history import history_of
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.kinds import kind_words
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import reason_in, sure_in
from breeding.program.reference.cautions import cautions
from breeding.words.days import long_day
from breeding.words.language import tell


@keepers_only
def treat(request: PageRequest) -> HttpResponse:
    """Write down a remedy for an animal, or for the water of a tank."""
    today = clock.today()
    initial = {name: request.GET.get(name) for name in ("animal", "tank", "against")}
    form = TreatmentForm(request.POST or None, today=today, initial=initial)
    given = written(
        request,
        form,
        lambda: treat_it(
            form.cleaned_data["who"],
            form.given(),
            today=today,
            by=request.user,
            sure=sure_in(request.POST),
            reason=reason_in(request.POST),
        ),
    )
    if given is not None:
        say(
            request,
            tell(
                "Written: {remedy} for {whom}.",
                remedy=given.remedy,
                whom=given.animal or given.tank,
            ),
        )
        return redirect(given)
    known = cautions(kind_words())
    context = {"form": form, "law": known["law"], "medicines": known["medicines"]}
    return render(request, "health/treat.html", context)


@require_safe
def treatment(request: PageRequest, pk: int) -> HttpResponse:
    """One treatment: who is treated, by whose word, and who is held until when."""
    today = clock.today()
    rows = Treatment.every.select_related("animal", "tank__system", "recorded_by", "withdrawn_by")
    one = get_object_or_404(rows, pk=pk)
    treated = treated_animals(one, today)
    kinds = words_of_treated(treated)
    free = one.free_from(today)
    context = {
        "treatment": one,
        "treated": treated,
        "goes_on": one.goes_on(today),
        "holds": one.since <= today and (free is None or free > today),
        "free": free,
        "prescribed": prescribed_words(one),
        "harm": harm_words(harmful_in(one.remedy, kinds), kinds),
        "history": history_of(one, request.program),
    }
    return render(request, "health/treatment.html", context)


@keepers_only
def end(request: PageRequest, pk: int) -> HttpResponse:
    """This is its last day: today, by one tap, or another."""
    rows = Treatment.every.select_related("animal", "tank")
    one = get_object_or_404(rows, pk=pk)
    today = clock.today()
    form = EndForm(request.POST or None, initial={"until": today, "hold_until": one.hold_until})
    ended = written(
        request,
        form,
        lambda: end_treatment(
            one,
            today=today,
            sure=sure_in(request.POST),
            reason=reason_in(request.POST),
            **form.cleaned_data,
        ),
    )
    if ended is not None:
        free = ended.free_from(today)
        whom = ended.animal or ended.tank
        said = [tell("{remedy} for {whom} has ended.", remedy=ended.remedy, whom=whom)]
        if free and free > today:
            said.append(tell("Held until {day}.", day=long_day(free)))
        say(request, *said)
        return redirect(ended)
    return render(request, "health/end.html", {"form": form, "treatment": one})
