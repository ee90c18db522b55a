"""The one page that withdraws a record, of whatever kind."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import capfirst

from breeding.program import clock
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.withdrawing import kind_named


@keepers_only
def withdraw(request: PageRequest, kind: str, pk: int) -> HttpResponse:
    """Withdraw a record with the reason; it stays readable and counts no more."""
    how = kind_named(kind)
    if how is None:
        raise Http404(f"Nothing of the kind “{kind}” can be withdrawn.")
    if how.for_owners and not request.user.is_owner:
        raise PermissionDenied("Only an owner of the program may do this.")
    record = get_object_or_404(how.records(), pk=pk)
    form = how.form(record, request.POST or None)
    done = written(
        request,
        form,
        lambda: how.withdraw(record.pk, form.cleaned_data, by=request.user, now=clock.now()),
    )
    if done is not None:
        said = f"{capfirst(how.called(done))} is withdrawn and counts no more."
        messages.success(request, f"{said} {how.follows(done)}".strip())
        return redirect(how.leads_to(done))
    today = clock.today()
    context = {
        "form": form,
        "of_room": how.model._meta.app_label,
        "crumb": how.crumb(record),
        "heading": how.heading(record),
        "beside": how.beside(record),
        "withdrawn": how.withdrawn(record),
        "lede": how.lede(record, program=request.program, today=today),
        "instead": how.instead(record),
        "caution": how.caution(record, today=today),
        "button": how.button,
    }
    return render(request, "program/withdraw.html", context)
