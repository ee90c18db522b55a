"""Pages of loans: lend one, say whose one is, back again, and the young that are owed."""

from collections.abc import Callable

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.arrivals.forms import BackForm, TermsForm, YoungGivenForm
from breeding.arrivals.loans import acts
from breeding.arrivals.loans.young import may_be_given, name_young, with_young, young_of
from breeding.arrivals.models import LoanAgreement
from breeding.arrivals.tables import ALL_LOANS
from breeding.arrivals.views.arrival import contact_in
from breeding.buyers.models import Contact
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import for_who_sees_buyers, keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import reason_in, sure_in
from breeding.words.language import tell

TERMS = ("since", "due_back_on", "young_owed", "terms")


@for_who_sees_buyers
@require_safe
def loans(request: PageRequest) -> HttpResponse:
    """Every loan, in both directions."""
    return list_page(request, "arrivals/loans.html", ALL_LOANS)


@keepers_only
def lend(request: PageRequest, animal_pk: int) -> HttpResponse:
    """The animal goes on loan to somebody."""
    animal = get_object_or_404(Animal, pk=animal_pk)

    def act(form: TermsForm) -> LoanAgreement:
        return acts.lend(
            animal,
            _somebody(request, form),
            by=request.user,
            today=clock.today(),
            sure=sure_in(request.POST),
            reason=reason_in(request.POST),
            **{name: form.cleaned_data[name] for name in TERMS},
        )

    return _terms_page(request, animal, act, is_out=True)


@keepers_only
def take_in(request: PageRequest, animal_pk: int) -> HttpResponse:
    """The animal is here on loan: it belongs to somebody else."""
    animal = get_object_or_404(Animal, pk=animal_pk)

    def act(form: TermsForm) -> LoanAgreement:
        return acts.take_in(
            animal,
            _somebody(request, form),
            by=request.user,
            today=clock.today(),
            **{name: form.cleaned_data[name] for name in TERMS},
        )

    return _terms_page(request, animal, act, is_out=False)


def _somebody(request: PageRequest, form: TermsForm) -> Contact:
    found = contact_in(request, form)
    if found is None:  # the form asks for one; somebody else may have withdrawn it since
        raise ValidationError(
            {"contact": tell("Choose who it is, or give the name of somebody new.")}
        )
    return found


def _terms_page(
    request: PageRequest,
    animal: Animal,
    act: Callable[[TermsForm], LoanAgreement],
    *,
    is_out: bool,
) -> HttpResponse:
    since = animal.state_on if is_out and animal.state == Animal.State.ON_LOAN else None
    initial = {"since": since or clock.today()}
    form = TermsForm(request.POST or None, initial=initial, is_out=is_out)
    done = written(request, form, transaction.atomic(lambda: act(form)), {"name": "new_name"})
    if done is not None:
        known = {"animal": animal.name, "contact": done.contact}
        words = (
            tell("{animal} is lent to {contact}.", **known)
            if is_out
            else tell("{animal} is here on loan from {contact}.", **known)
        )
        say(request, words, done.follows)
        return redirect(animal)
    animal.refresh_from_db()
    context = {"form": form, "animal": animal, "is_out": is_out}
    return render(request, f"arrivals/{'lend' if is_out else 'take_in'}.html", context)


@keepers_only
def back(request: PageRequest, pk: int) -> HttpResponse:
    """It is back: here, or with its owner."""
    agreement = _agreement(pk)
    form = BackForm(request.POST or None, initial={"on": clock.today()}, agreement=agreement)
    done = written(
        request,
        form,
        lambda: acts.end_loan(
            agreement,
            by=request.user,
            today=clock.today(),
            sure=sure_in(request.POST),
            reason=reason_in(request.POST),
            **form.cleaned_data,
        ),
    )
    if done is not None:
        words = (
            tell("{animal} is here again.", animal=done.animal.name)
            if done.is_out
            else tell("{animal} is back with its owner.", animal=done.animal.name)
        )
        say(request, words, done.follows)
        return redirect(done.animal)
    with_young([agreement])
    return render(request, "arrivals/back.html", {"form": form, "agreement": agreement})


@keepers_only
def young(request: PageRequest, pk: int) -> HttpResponse:
    """Which of the young that are owed have been given, and how many besides."""
    agreement = _agreement(pk)
    known = young_of(agreement)
    initial = {
        "young": [row.animal_id for row in (*known.named, *known.promised)],
        "young_given": agreement.young_given,
    }
    form = YoungGivenForm(request.POST or None, initial=initial, offered=may_be_given(agreement))

    def act() -> LoanAgreement:
        chosen = form.cleaned_data.get("young")
        return name_young(
            agreement,
            [] if chosen is None else list(chosen),
            young_given=form.cleaned_data["young_given"],
            by=request.user,
            now=clock.now(),
        )

    done = written(request, form, act, changing=agreement)
    if done is not None:
        found = young_of(done)
        given = {"animal": done.animal.name, "given": found.given}
        words = (
            tell(
                "Young given for {animal}: {given}; {left} more are owed.", left=found.left, **given
            )
            if found.left
            else tell("Young given for {animal}: {given}; none is owed any more.", **given)
        )
        say(request, words)
        return redirect(done.animal)
    agreement.refresh_from_db()
    with_young([agreement])
    return render(request, "arrivals/young.html", {"form": form, "agreement": agreement})


def _agreement(pk: int) -> LoanAgreement:
    return get_object_or_404(LoanAgreement.objects.select_related("animal", "contact"), pk=pk)
