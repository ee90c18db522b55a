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
from django.forms.utils import ErrorList, pretty_name

from breeding.words.language import message, tell
from breeding.words.numbers import written

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

    def __init__(self, form: forms.BaseForm, field: forms.Field, name: str) -> None:
        super().__init__(form, field, name)
        self.label = own_label(field, name)

    def build_widget_attrs(
        self, attrs: dict[str, Any], widget: forms.Widget | None = None
    ) -> dict[str, Any]:
        """Without the length at which browsers cut what is typed or pasted, and say nothing.

        What is too long comes whole, is refused with how long it may be, and is shortened by
        whoever knows which part of it may go.
        """
        return {**super().build_widget_attrs(attrs, widget), "maxlength": False}

    @property
    def errors(self) -> ErrorList:
        found = super().errors
        spoken = found.copy()  # with the look and the id that the form gave it
        spoken.field_id = found.field_id  # type: ignore[attr-defined]
        spoken.data = [words_for(self, one) for one in found.as_data()]
        return spoken


def own_label(field: forms.Field, name: str) -> str:
    """What a field is called; one without a label by its name in the code."""
    return tell(pretty_name(name)) if field.label is None else str(field.label)


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
    label = bound.label
    if error.code in EMPTY:
        if isinstance(bound.field, forms.BooleanField):
            return tell("“{field}” must be ticked.", field=label)
        return tell(
            "“{field}” is empty; needed is {allowed}.",
            field=label,
            allowed=allowed_words(bound, error),
        )
    if error.code in NOT_POSSIBLE:
        return tell(
            "{typed} is not possible for “{field}”; allowed is {allowed}.",
            typed=_typed(bound, error),
            field=label,
            allowed=allowed_words(bound, error),
        )
    if error.code in ("max_length", "min_length"):
        params = error.params or {}
        length, limit = params.get("length", params.get("show_value")), params.get("limit_value")
        limit = params.get("max", limit)
        if error.code == "max_length":
            return tell(
                "“{field}” has {length} characters; allowed are at most {limit} characters.",
                field=label,
                length=length,
                limit=limit,
            )
        return tell(
            "“{field}” has {length} characters; allowed are at least {limit} characters.",
            field=label,
            length=length,
            limit=limit,
        )
    if error.code == "empty":
        return tell(
            "{typed} is an empty file; choose another for “{field}”.",
            typed=_typed(bound, error),
            field=label,
        )
    if error.code == "null_characters_not_allowed":
        return tell(
            "“{field}” holds a character that cannot be read (a null); type it again.", field=label
        )
    if error.code == "unique":
        return tell(
            "{typed} is taken already; choose another for “{field}”.",
            typed=_typed(bound, error),
            field=label,
        )
    return said


def allowed_words(bound: forms.BoundField, error: ValidationError) -> str:
    """What a field takes; where the digits are too many, how many of them as well.

    A field that knows better than its kind says so in `allowed`.
    """
    field = bound.field
    own = getattr(field, "allowed", "")
    if own:
        return str(own)
    if isinstance(field, forms.ModelChoiceField):
        return tell("one from the list")
    if isinstance(field, forms.ChoiceField):
        return _choice_words(field.choices)
    if isinstance(field, forms.IntegerField):  # of which decimals are a kind, for Django
        return _number_words(bound, error)
    if isinstance(field, forms.DateTimeField):
        return tell("a day and time, written like 2026-03-31 14:30")
    if isinstance(field, forms.DateField):
        return tell("a day, written like 2026-03-31")
    if isinstance(field, forms.EmailField):
        return tell("an address like jo@example.org")
    if isinstance(field, forms.ImageField):
        return tell("a picture that can be opened")
    if isinstance(field, forms.FileField):
        return tell("a file")
    if validate_slug in field.validators:
        return tell("a word of letters, digits, hyphens and underscores")
    longest = getattr(field, "max_length", None)
    if longest:
        return tell("text of up to {longest} characters", longest=longest)
    return tell("some text")


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
        return tell("What was typed")
    value = bound.data
    if isinstance(value, list | tuple):
        params = error.params if isinstance(error.params, Mapping) else {}
        value = params.get("value", params.get("pk", ", ".join(map(str, value))))
    text = " ".join(str(getattr(value, "name", value)).split())
    short = text if len(text) <= LONGEST_QUOTE else text[:LONGEST_QUOTE] + "…"
    return tell("“{value}”", value=short)


def _choice_words(choices: Any) -> str:
    labels: list[str] = []
    for value, label in choices:
        group = label if isinstance(label, list | tuple) else [(value, label)]
        labels += [str(words) for key, words in group if key not in ("", None)]
    listed = ", ".join(tell("“{value}”", value=label) for label in labels)
    if not labels or len(labels) > MOST_CHOICES or len(listed) > LONGEST_CHOICES:
        return tell("one from the list")
    return tell("one of {choices}", choices=listed) if len(labels) > 1 else listed


# By whether it is whole, whether it has a least and whether it has a most.
_RANGES = {
    (True, False, False): message("a whole number"),
    (True, True, True): message("a whole number from {least} to {most}"),
    (True, True, False): message("a whole number from {least} on"),
    (True, False, True): message("a whole number up to {most}"),
    (False, False, False): message("a number"),
    (False, True, True): message("a number from {least} to {most}"),
    (False, True, False): message("a number from {least} on"),
    (False, False, True): message("a number up to {most}"),
}


def _number_words(bound: forms.BoundField, error: ValidationError) -> str:
    field = bound.field
    least, most = _limits(bound, error)
    whole = not isinstance(field, forms.DecimalField | forms.FloatField)
    words = tell(_RANGES[whole, least is not None, most is not None], **_in_figures(least, most))
    places, digits = getattr(field, "decimal_places", None), getattr(field, "max_digits", None)
    if error.code not in DIGITS or places is None:
        return words
    if digits is None or most is not None:
        return tell(
            "{number}, with at most {places} digits after the point", number=words, places=places
        )
    return tell(
        "{number}, with at most {places} digits after the point and {before} before it",
        number=words,
        places=places,
        before=digits - places,
    )


def _in_figures(least: float | None, most: float | None) -> dict[str, str]:
    given = {"least": least, "most": most}
    return {name: written(f"{value:g}") for name, value in given.items() if value is not None}


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
