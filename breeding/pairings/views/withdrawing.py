"""One way to withdraw a record of a female."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render

from breeding.pairings.models import Outcome, Pairing, Scan, Sighting
from breeding.program import clock
from breeding.program.forms import WithdrawForm
from breeding.program.frame.requests import PageRequest
from breeding.program.models import Withdrawable
from breeding.program.problems import written
from breeding.program.services import withdraw as withdraw_record


def withdraw_of_female(
    request: PageRequest,
    record: Pairing | Sighting | Scan | Outcome,
    what: str,
    female_pk: int,
    *,
    act: Callable[..., Withdrawable] = withdraw_record,
) -> HttpResponse:
    form = WithdrawForm(request.POST or None)
    if written(
        request,
        form,
        lambda: act(record, by=request.user, now=clock.now(), reason=form.cleaned_data["reason"]),
    ):
        messages.success(request, f"The {what} is withdrawn and counts no more.")
        return redirect("pairings:female", female_pk)
    return render(request, "pairings/withdraw.html", {"form": form, "record": record, "what": what})
