"""Pages of loans: lend one, say whose one is, back again, and the young that are owed."""

from collections.abc import Callable

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.arrivals import loans as acts
from breeding.arrivals.forms import BackForm, TermsForm, YoungGivenForm
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
        raise ValidationError({"contact": "Choose who it is, or give the name of somebody new."})
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
        how = "is lent to" if is_out else "is here on loan from"
        say(request, f"{animal.name} {how} {done.contact}. {done.follows}".strip())
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
        how = "is here again" if done.is_out else "is back with its owner"
        say(request, f"{done.animal.name} {how}. {done.follows}".strip())
        return redirect(done.animal)
    return render(request, "arrivals/back.html", {"form": form, "agreement": agreement})


@keepers_only
def young(request: PageRequest, pk: int) -> HttpResponse:
    """How many of the young that are owed have been given."""
    agreement = _agreement(pk)
    form = YoungGivenForm(request.POST or None, initial={"young_given": agreement.young_given + 1})
    done = written(
        request,
        form,
        lambda: acts.give_young(agreement, **form.cleaned_data),
        changing=agreement,
    )
    if done is not None:
        left = f"{done.young_left} more are owed" if done.young_left else "none is owed any more"
        say(request, f"Young given for {done.animal.name}: {done.young_given}; {left}.")
        return redirect(done.animal)
    agreement.refresh_from_db()
    gone = []
    if agreement.contact is not None:
        rows = agreement.contact.hand_overs.filter(withdrawn_at__isnull=True)
        gone = list(rows.filter(on__gte=agreement.since).select_related("animal")[:20])
    context = {"form": form, "agreement": agreement, "gone": gone}
    return render(request, "arrivals/young.html", context)


def _agreement(pk: int) -> LoanAgreement:
    return get_object_or_404(LoanAgreement.objects.select_related("animal", "contact"), pk=pk)
