"""Puts a service's problems beside the form fields they are about."""

from collections.abc import Mapping

from django.core.exceptions import ValidationError
from django.forms import BaseForm


def add_problems(
    form: BaseForm, problem: ValidationError, places: Mapping[str, str] | None = None
) -> None:
    """Each problem goes to its field, renamed by `places`; the rest on top of the form."""
    if not hasattr(problem, "error_dict"):
        form.add_error(None, problem)
        return
    for field, errors in problem.error_dict.items():
        place = (places or {}).get(field, field)
        form.add_error(place if place in form.fields else None, errors)
