"""Puts a service's problems beside the form fields they are about."""

from collections.abc import Callable, Mapping
from typing import TypeVar

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import models
from django.forms import BaseForm
from django.http import HttpRequest

from breeding.program.acts.changing import refuse_when_changed
from breeding.program.acts.once import act_once, say
from breeding.program.problems.doubts import DoubtError, question
from breeding.program.queries import the_program
from breeding.program.typed.moments import doubled_words
from breeding.program.typed.zones import taken_words

Record = TypeVar("Record")
LOOK_OVER = "look_over"  # a form with this field is shown as it was sent, and not written;
UNTRIED = "untried"  # with this in it not even to see what speaks against it: the disk is full


def written(
    request: HttpRequest,
    form: BaseForm,
    act: Callable[[], Record],
    places: Mapping[str, str] | None = None,
    *,
    changing: models.Model | None = None,
) -> Record | None:
    """What the act gives, once the form is sent and in order; what it refuses goes to the form.

    Written once, however often it is sent (see acts/once.py); what is only looked over is shown and
    not written. `changing` is the record as the form shows it: when somebody else changed it since,
    that is said first.
    """
    if request.method != "POST" or not form.is_valid():
        return None
    if request.POST.get(LOOK_OVER) == UNTRIED:
        return None

    def all_of_it() -> Record:
        if changing is not None:
            refuse_when_changed(request, changing, the_program())
        if LOOK_OVER not in request.POST:
            return act()
        if not request.FILES:  # which would not be rolled back
            act()
        raise _OnlyLookedOverError

    try:
        record = act_once(request, all_of_it)
        for words in filter(None, (doubled_words(form), taken_words(form))):
            say(request, words)
        return record
    except _OnlyLookedOverError:
        return None
    except ValidationError as problem:
        add_problems(form, problem, places)
        return None


class _OnlyLookedOverError(Exception):
    """Nothing is wrong with it so far, and nothing is to be written."""


def pressed(request: HttpRequest, act: Callable[[], Record]) -> Record | None:
    """What a button does that has no form beside it; what it refuses is said on top."""
    try:
        return act_once(request, act)
    except ValidationError as problem:
        messages.error(request, " ".join(problem.messages))
        return None


def at_field(problem: ValidationError, field: str) -> ValidationError:
    """The same errors with their codes, all of them about one field of an act."""
    found = problem.update_error_dict({})
    return ValidationError({field: [one for errors in found.values() for one in errors]})


def add_problems(
    form: BaseForm, problem: ValidationError, places: Mapping[str, str] | None = None
) -> None:
    """Each problem goes to its field, renamed by `places`; the rest on top of the form.

    Doubts go there too, with a box to tick.
    """
    if isinstance(problem, DoubtError):
        form.add_error(None, question(problem, form.data))
        return
    if not hasattr(problem, "error_dict"):
        form.add_error(None, problem)
        return
    for field, errors in problem.error_dict.items():
        place = (places or {}).get(field, field)
        form.add_error(place if place in form.fields else None, errors)
