"""The pages that put a record right, of whatever kind: changed, withdrawn, brought back."""

from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import models, transaction
from django.forms import Form
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import capfirst
from django.views.decorators.http import require_POST

from breeding.program import clock
from breeding.program.acts.history import history_of
from breeding.program.acts.mending import AnyKind, kind_named
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import Answers, answers_in
from breeding.words.language import later, sentences, tell


@keepers_only
def withdraw(request: PageRequest, kind: str, pk: int) -> HttpResponse:
    """Withdraw a record with the reason; it stays readable and counts no more."""
    how, record = _asked(request, kind, pk)
    form = how.form(record, request.POST or None)
    answers = answers_in(request.POST)
    done = written(
        request,
        form,
        lambda: how.withdraw(
            record.pk, form.cleaned_data, by=request.user, now=clock.now(), answers=answers
        ),
    )
    if done is not None:
        said = tell("{record} is withdrawn and no longer counts.", record=_called(how, done))
        say(request, _receipt(said, how.follows(done), answers.said))
        return redirect(how.leads_to(done))
    return render(request, "program/withdraw.html", _withdrawing(request, how, record, form))


def _withdrawing(
    request: PageRequest, how: AnyKind[Any], record: models.Model, form: Form
) -> dict[str, Any]:
    today = clock.today()
    return {
        "form": form,
        "of_room": how.model._meta.app_label,
        "crumb": how.crumb(record),
        "heading": _heading(how, record),
        "beside": how.beside(record),
        "withdrawn": how.withdrawn(record),
        "comes_back": how.may_come_back(record),
        "comes_back_with": how.comes_back_with(record),
        "kind": how.key,
        "record": record,
        "lede": how.lede(record, program=request.program, today=today),
        "instead": how.instead(record),
        "caution": how.caution(record, today=today),
        "button": tell(how.button),
        "history": history_of(record, request.program),
    }


def _heading(how: AnyKind[Any], record: models.Model) -> str:
    return capfirst(how.called(record)) if how.withdrawn(record) else how.heading(record)


@keepers_only
@require_POST
def bring_back(request: PageRequest, kind: str, pk: int) -> HttpResponse:
    """Let a record that was withdrawn count again."""
    how, record = _asked(request, kind, pk)
    form, answers = Form(request.POST), answers_in(request.POST)
    done = written(
        request,
        form,
        lambda: how.bring_back(record.pk, by=request.user, now=clock.now(), answers=answers),
    )
    if done is not None:
        said = tell("{record} counts again.", record=_called(how, done))
        say(request, _receipt(said, how.returns(done), answers.said))
        return redirect(how.leads_to(done))
    context = _withdrawing(request, how, record, form)
    return render(request, "program/withdraw.html", context, status=422)


@keepers_only
def change(request: PageRequest, kind: str, pk: int) -> HttpResponse:
    """Change a record; how it stood is kept, and readable here."""
    how, record = _asked(request, kind, pk)
    if own := how.own_change_page(record):
        return redirect(own)
    form = how.change_form(
        record,
        request.POST or None,
        request.FILES or None,
        program=request.program,
        today=clock.today(),
    )
    if form is None:
        raise Http404(f"{capfirst(how.called(record))} is not changed; it is withdrawn.")
    if how.withdrawn(record):
        form.add_error(None, _first_bring_back(how, record)) if form.is_bound else None
    answers = answers_in(request.POST)
    done = written(request, form, lambda: _change(request, how, pk, form, answers), changing=record)
    if done is not None:
        said = tell("{record} is changed.", record=_called(how, done))
        say(request, _receipt(said, how.changed(done), answers.said))
        return redirect(how.leads_to(done))
    record.refresh_from_db()
    context = {
        "form": form,
        "of_room": how.model._meta.app_label,
        "crumb": how.crumb(record),
        "heading": tell("Change {record}", record=how.called(record)),
        "beside": how.beside_change(record),
        "withdrawn": how.withdrawn(record),
        "record": record,
        "history": history_of(record, request.program),
    }
    return render(request, "program/change.html", context)


@transaction.atomic
def _change(
    request: PageRequest, how: AnyKind[Any], pk: int, form: Form, answers: Answers
) -> models.Model:
    record: models.Model = how.locked(pk)
    how.change(record, form.cleaned_data, by=request.user, now=clock.now())
    how.ask_after(record, answers, on=clock.today())
    return record


def _called(how: AnyKind[Any], record: models.Model) -> str:
    """At the beginning of a sentence."""
    return later(lambda: capfirst(how.called(record)))


def _receipt(*said: str) -> str:
    return sentences(*said)


def _first_bring_back(how: AnyKind[Any], record: models.Model) -> ValidationError:
    return ValidationError(
        tell(
            "{record} is withdrawn; bring it back before it is changed.",
            record=capfirst(how.called(record)),
        )
    )


def _asked(request: PageRequest, kind: str, pk: int) -> tuple[AnyKind[Any], Any]:
    """The kind and the record that an address names, for somebody who may put it right."""
    how = kind_named(kind)
    if how is None:
        raise Http404(f"Nothing of the kind “{kind}” can be put right here.")
    if how.for_owners and not request.user.is_owner:
        raise PermissionDenied(tell("Only an owner of the program may do this."))
    return how, get_object_or_404(how.records(), pk=pk)
