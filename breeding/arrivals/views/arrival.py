"""Pages of arrivals: who came, somebody new, how one on record came, and its kin."""

from typing import Any

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.animals.parents.assuming import Belief, assume_kin
from breeding.arrivals import queries, services
from breeding.arrivals.forms import (
    ARRIVAL_FACTS,
    SHOWN_AT_ONCE,
    ArrivalForm,
    GroupKinForm,
    NewcomersForm,
)
from breeding.arrivals.models import Arrival
from breeding.arrivals.tables import ALL_ARRIVALS
from breeding.buyers.models import Contact
from breeding.buyers.queries import usual_currency
from breeding.buyers.services import add_contact
from breeding.housing.models import Tank
from breeding.housing.queries import free_tanks
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import for_who_sees_buyers, keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import reason_in, sure_in
from breeding.words.language import later, sentences, strung, tell, tell_many
from breeding.words.numbers import joined


@for_who_sees_buyers
@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Who came, when, from whom and for what."""
    return list_page(request, "arrivals/index.html", ALL_ARRIVALS)


@keepers_only
def new(request: PageRequest) -> HttpResponse:
    """New animals came: one or several at once from one seller."""
    today = clock.today()
    free = [one for one in free_tanks(today) if one.kind == Tank.Kind.QUARANTINE]
    initial = {
        "on": today,
        "contact": request.GET.get("contact"),
        "currency": usual_currency(),
        "tank": free[0].pk if free else None,
    }
    form = NewcomersForm(request.POST or None, initial=initial)
    newcomers = form.newcomers() if form.is_bound and form.is_valid() else {}
    places = _places(list(newcomers))

    @transaction.atomic
    def act() -> list[Arrival]:
        return services.somebody_came(
            list(newcomers.values()),
            by=request.user,
            today=today,
            contact=contact_in(request, form),
            sure=sure_in(request.POST),
            reason=reason_in(request.POST),
            **form.facts(),
        )

    if arrivals := written(request, form, act, places):
        names = joined([one.animal.name for one in arrivals])
        came = tell_many("{names} came.", "{names} came.", len(arrivals), names=names)
        say(request, came, _follows(arrivals))
        if len(arrivals) > 1:
            return redirect("arrivals:kin", arrivals[0].pk)
        return redirect(arrivals[0].animal)
    rows = form.animal_rows()
    context = {
        "form": form,
        "rows": rows[:SHOWN_AT_ONCE],
        "more_rows": rows[SHOWN_AT_ONCE:],
        "more_is_filled": any(form.says_something(row) for row in rows[SHOWN_AT_ONCE:]),
    }
    return render(request, "arrivals/new.html", context)


def _places(numbers: list[int]) -> dict[str, str]:
    """The service counts those that came; the form numbers its rows."""
    parts = NewcomersForm.FIELDS_OF_ONE
    found = {part: f"{part}_{numbers[0]}" for part in parts} if numbers else {}
    found |= {
        f"{part}_{at}": f"{part}_{number}"
        for at, number in enumerate(numbers, start=1)
        for part in parts
    }
    return {"name": "new_name", "price": "price_together", "side": "tank"} | found


def contact_in(request: PageRequest, form: Any) -> Contact | None:
    """Whom the form names: somebody on record, or somebody new, who is written down."""
    facts = form.cleaned_data
    if facts["contact"] is None and facts["new_name"]:
        return add_contact(by=request.user, name=facts["new_name"], sure=sure_in(request.POST))
    found: Contact | None = facts["contact"]
    return found


def _follows(arrivals: list[Arrival]) -> str:
    said = [one.follows for one in arrivals if one.follows]
    for one in arrivals:
        if one.pregnant == Arrival.Pregnant.YES:
            said.append(
                tell(
                    "That {animal} is pregnant is only a hint: her season asks for a scan, or for "
                    "how it ended.",
                    animal=one.animal.name,
                )
            )
    return sentences(*said)


@keepers_only
def came(request: PageRequest, animal_pk: int) -> HttpResponse:
    """How an animal on record came."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    initial = {"on": clock.today(), "currency": usual_currency()}
    form = ArrivalForm(request.POST or None, initial=initial)

    @transaction.atomic
    def act() -> Arrival:
        return services.write_how_it_came(
            animal,
            by=request.user,
            today=clock.today(),
            contact=contact_in(request, form),
            sure=sure_in(request.POST),
            **{name: form.cleaned_data[name] for name in ARRIVAL_FACTS},
        )

    if arrival := written(request, form, act, {"name": "new_name"}):
        say(request, later(lambda: f"{arrival}."), _follows([arrival]))
        return redirect(_to_ask_or(arrival))
    return render(request, "arrivals/came.html", {"form": form, "animal": animal})


def _to_ask_or(arrival: Arrival) -> str:
    """What it is to those it came with is asked while that is not said; else its own page."""
    company = queries.came_with(arrival)
    held = queries.held_among(company)
    pairs = queries.pairs_to_ask(company)
    if any(frozenset((one.pk, other.pk)) not in held for one, other in pairs):
        return reverse("arrivals:kin", args=[arrival.pk])
    return arrival.animal.get_absolute_url()


@keepers_only
def kin(request: PageRequest, pk: int) -> HttpResponse:
    """What those that came together are to each other, as far as somebody holds."""
    arrival = get_object_or_404(Arrival.objects.select_related("animal", "contact"), pk=pk)
    company = queries.came_with(arrival)
    pairs, held = queries.pairs_to_ask(company), queries.held_among(company)
    form = GroupKinForm(request.POST or None, pairs=pairs)

    def act() -> list[Any]:
        note = form.cleaned_data["note"]
        beliefs = [Belief(*answer, note=note) for answer in form.answers()]
        return assume_kin(beliefs, by=request.user)

    if kept := written(request, form, act, {"degree": "everybody"}):
        say(
            request,
            tell(
                "{kin}. Every F that rests on it changes at once.",
                kin=strung(map(str, kept[:3]), "; "),
            ),
        )
        return redirect(arrival.animal)
    context = {
        "form": form,
        "arrival": arrival,
        "company": company,
        "pairs": pairs,
        "held": list(held.values()),
        "unsaid": sum(1 for one, other in pairs if frozenset((one.pk, other.pk)) not in held),
    }
    return render(request, "arrivals/kin.html", context)
