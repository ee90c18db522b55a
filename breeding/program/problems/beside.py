"""Puts a service's problems beside the form fields they are about."""

from collections.abc import Callable, Mapping
from typing import TypeVar

from django.core.exceptions import ValidationError
from django.forms import BaseForm
from django.http import HttpRequest

from breeding.program.problems.doubts import DoubtError, question

Record = TypeVar("Record")


def written(
    request: HttpRequest,
    form: BaseForm,
    act: Callable[[], Record],
    places: Mapping[str, str] | None = None,
) -> Record | None:
    """What the act gives, once the form is sent and in order; what it refuses goes to the form."""
    if request.method != "POST" or not form.is_valid():
        return None
    try:
        return act()
    except ValidationError as problem:
        add_problems(form, problem, places)
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
