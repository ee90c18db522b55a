"""What a form says of a value it cannot take: of which field, which value, and what is allowed."""

from collections.abc import Mapping
from functools import cache
from typing import Any

from django import forms
from django.contrib.auth.models import AbstractUser
from django.core import validators
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, validate_slug
from django.db import connection, models
from django.forms.utils import ErrorList

LONGEST_QUOTE = 60
MOST_CHOICES, LONGEST_CHOICES = 8, 160  # more than these are looked up in the list itself

# Django's own names for what is wrong.
EMPTY = {"required", "blank", "null", "missing"}
DIGITS = {"max_decimal_places", "max_digits", "max_whole_digits"}
NOT_POSSIBLE = DIGITS | {
    "invalid",
    "invalid_choice",
    "invalid_date",
    "invalid_datetime",
    "invalid_image",
    "invalid_list",
    "invalid_pk_value",
    "invalid_time",
    "max_value",
    "min_value",
    "step_size",
}


class SpeakingField(forms.BoundField):
    """A field on a page whose errors name it, what was typed, and what is allowed.

    The renderer gives it to every form of the program, so that no form has to ask for it.
    """

    @property
    def errors(self) -> ErrorList:
        found = super().errors
        spoken = found.copy()  # with the look and the id that the form gave it
        spoken.field_id = found.field_id  # type: ignore[attr-defined]
        spoken.data = [words_for(self, one) for one in found.as_data()]
        return spoken


def words_for(bound: forms.BoundField, error: ValidationError) -> str:
    """The error as a keeper reads it; one that is in our own words already stays as it is.

    But a field that says in `allowed` what it takes says it with the value, whoever refused it.
    """
    said = str(next(iter(error)))
    knows_better = error.code == "invalid" and hasattr(bound.field, "allowed")
    if error.code is None or not (is_djangos(error) or knows_better):
        return said
    if not knows_better and (own := _said_by_a_validator(bound, error.code)):
        return own
    label = f"“{bound.label}”"
    if error.code in EMPTY:
        if isinstance(bound.field, forms.BooleanField):
            return f"{label} must be ticked."
        return f"{label} is empty; needed is {allowed_words(bound, error)}."
    if error.code in NOT_POSSIBLE:
        allowed = allowed_words(bound, error)
        return f"{_typed(bound, error)} is not possible for {label}; allowed is {allowed}."
    if error.code in ("max_length", "min_length"):
        params = error.params or {}
        length, limit = params.get("length", params.get("show_value")), params.get("limit_value")
        bounds = "at most" if error.code == "max_length" else "at least"
        limit = params.get("max", limit)
        return f"{label} has {length} characters; allowed are {bounds} {limit} characters."
    if error.code == "empty":
        return f"{_typed(bound, error)} is an empty file; choose another for {label}."
    if error.code == "null_characters_not_allowed":
        return f"{label} holds a character that is no writing (a null); type it anew."
    if error.code == "unique":
        return f"{_typed(bound, error)} is taken already; choose another for {label}."
    return said


def allowed_words(bound: forms.BoundField, error: ValidationError) -> str:
    """What a field takes; where the digits are too many, how many of them as well.

    A field that knows better than its kind says so in `allowed`.
    """
    field = bound.field
    own: str = getattr(field, "allowed", "")
    if own:
        return own
    if isinstance(field, forms.ModelChoiceField):
        return "one from the list"
    if isinstance(field, forms.ChoiceField):
        return _choice_words(field.choices)
    if isinstance(field, forms.IntegerField):  # of which decimals are a kind, for Django
        return _number_words(bound, error)
    if isinstance(field, forms.DateTimeField):
        return "a day and time, written like 2026-03-31 14:30"
    if isinstance(field, forms.DateField):
        return "a day, written like 2026-03-31"
    if isinstance(field, forms.EmailField):
        return "an address like jo@example.org"
    if isinstance(field, forms.ImageField):
        return "a picture that can be opened"
    if isinstance(field, forms.FileField):
        return "a file"
    if validate_slug in field.validators:
        return "a word of letters, digits, hyphens and underscores"
    longest = getattr(field, "max_length", None)
    return f"text of up to {longest} characters" if longest else "some text"


def is_djangos(error: ValidationError) -> bool:
    """Whether an error is in Django's short words, which name neither the value nor the field."""
    return _is_djangos(error.message)


def _is_djangos(words: Any) -> bool:
    return any(words is one for one in _djangos_words())


@cache
def _djangos_words() -> tuple[Any, ...]:
    """The very objects: some stand for a number of words, and can be compared in no other way."""
    words: list[Any] = list(validators.DecimalValidator.messages.values())
    words += AbstractUser._meta.get_field("username").error_messages.values()
    for place in (validators, models.fields, models.fields.related, forms.fields, forms.models):
        for one in vars(place).values():
            words += getattr(one, "default_error_messages", {}).values()
            words += [one.message] if hasattr(one, "message") else []
    return tuple(words)


def _said_by_a_validator(bound: forms.BoundField, code: str) -> str:
    """What a validator of ours says, where a field has put Django's words in their place.

    Django's fields do so with every error that has the code of one of their own.
    """
    if code not in NOT_POSSIBLE or code not in bound.field.error_messages:
        return ""
    ours = [one for one in (*bound.field.validators, *_of_the_model(bound)) if _is_ours(one)]
    try:
        value = bound.field.to_python(bound.data) if ours else None
        for validator in ours:
            validator(value)
    except ValidationError as problem:
        return "" if is_djangos(problem) else str(problem.messages[0])
    return ""


def _is_ours(validator: Any) -> bool:
    if hasattr(validator, "message"):
        return not _is_djangos(validator.message)
    return not str(getattr(validator, "__module__", "")).startswith("django.")


def _typed(bound: forms.BoundField, error: ValidationError) -> str:
    """What was typed, in quotes; never a password."""
    if isinstance(bound.field.widget, forms.PasswordInput):
        return "What was typed"
    value = bound.data
    if isinstance(value, list | tuple):
        params = error.params if isinstance(error.params, Mapping) else {}
        value = params.get("value", params.get("pk", ", ".join(map(str, value))))
    text = " ".join(str(getattr(value, "name", value)).split())
    return f"“{text if len(text) <= LONGEST_QUOTE else text[:LONGEST_QUOTE] + '…'}”"


def _choice_words(choices: Any) -> str:
    labels: list[str] = []
    for value, label in choices:
        group = label if isinstance(label, list | tuple) else [(value, label)]
        labels += [str(words) for key, words in group if key not in ("", None)]
    listed = ", ".join(f"“{label}”" for label in labels)
    if not labels or len(labels) > MOST_CHOICES or len(listed) > LONGEST_CHOICES:
        return "one from the list"
    return f"one of {listed}" if len(labels) > 1 else listed


def _number_words(bound: forms.BoundField, error: ValidationError) -> str:
    field = bound.field
    least, most = _limits(bound, error)
    whole = not isinstance(field, forms.DecimalField | forms.FloatField)
    words = "a whole number" if whole else "a number"
    if least is not None and most is not None:
        words += f" from {least:g} to {most:g}"
    elif least is not None:
        words += f" from {least:g} on"
    elif most is not None:
        words += f" up to {most:g}"
    places, digits = getattr(field, "decimal_places", None), getattr(field, "max_digits", None)
    if error.code in DIGITS and places is not None:
        words += f", with at most {places} digits after the point"
        if digits is not None and most is None:
            words += f" and {digits - places} before it"
    return words


def _limits(bound: forms.BoundField, error: ValidationError) -> tuple[float | None, float | None]:
    """The narrowest limits that the field, or the model's field behind it, has.

    How much a column of this database holds is a limit only for who met it.
    """
    found: dict[type, list[float]] = {MinValueValidator: [], MaxValueValidator: []}
    for one in (*bound.field.validators, *_of_the_model(bound)):
        if isinstance(one, MinValueValidator | MaxValueValidator):
            found[type(one)].append(_limit(one))
    lower, upper = found[MinValueValidator], found[MaxValueValidator]
    if error.code == "max_value" and error.params:
        upper.append(float(error.params["limit_value"]))
    if error.code == "min_value" and error.params:
        lower.append(float(error.params["limit_value"]))
    return max(lower, default=None), min(upper, default=None)


def _of_the_model(bound: forms.BoundField) -> list[Any]:
    """The validators of the model's field, without those that Django adds for its column."""
    if not isinstance(bound.form, forms.BaseModelForm):
        return []
    column = {one.name: one for one in bound.form.instance._meta.fields}.get(bound.name)
    if not isinstance(column, models.IntegerField):
        return [] if column is None else list(column.validators)
    ends = connection.ops.integer_field_range(column.get_internal_type())
    return [one for one in column.validators if getattr(one, "limit_value", None) not in ends]


def _limit(validator: MinValueValidator | MaxValueValidator) -> float:
    limit: Any = validator.limit_value
    return float(limit() if callable(limit) else limit)
