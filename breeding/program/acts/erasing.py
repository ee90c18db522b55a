"""A person's name taken out of every text that the program keeps, wherever somebody typed it."""

import datetime
import re
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from django.apps import apps
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.models import Session
from django.db import models

from breeding.program.models import Person, Program

NAMES = ("name", "call_name", "code", "first_name", "username", "label")  # of columns
SHORTEST = 3  # letters: a shorter word would be found in words that mean something else
# Of the program's own people and of the program itself nothing is erased with a buyer.
OF_OTHERS: tuple[type[models.Model], ...] = (Person, Program)

Rewrite = Callable[[Any], Any]
ByHand = Callable[[Rewrite, datetime.date], None]
_by_hand: dict[type[models.Model], ByHand] = {}


def erase_by(model: type[models.Model], erase: ByHand) -> None:
    """A room says how the texts of a model are rewritten that is not rewritten like any other."""
    _by_hand[model] = erase


def without(words: Iterable[str], instead: str) -> Rewrite:
    """A function that puts `instead` for these words in a text, or in whatever texts JSON holds.

    Large and small letters and the spaces between are all one; a part of a longer word is none.

    >>> without(["Kim Lund"], "a buyer")({"said": ["KIM  Lund's ray, not Kim Lundgren's"]})
    {'said': ["a buyer's ray, not Kim Lundgren's"]}
    """
    wanted = sorted({w for w in (one.strip() for one in words) if len(w) >= SHORTEST}, key=len)
    parts = [r"\s+".join(map(re.escape, one.split())) for one in reversed(wanted)]
    if not parts:
        return lambda value: value
    pattern = re.compile(rf"(?<!\w)(?:{'|'.join(parts)})(?!\w)", re.IGNORECASE)

    def rewritten(value: Any) -> Any:
        if isinstance(value, str):
            return pattern.sub(instead, value)
        if isinstance(value, dict):
            return {rewritten(key): rewritten(one) for key, one in value.items()}
        if isinstance(value, list | tuple):
            return [rewritten(one) for one in value]
        return value

    return rewritten


def rewrite_everywhere(rewrite: Rewrite, *, on: datetime.date) -> None:
    """Rewrite every text of every model: records, history, receipts, what was published.

    No history is kept of it. Reads all rows: seconds in a program of many years.
    """
    for model in apps.get_models():
        if model in _by_hand:
            _by_hand[model](rewrite, on)
        elif model is Session:
            _rewrite_sessions(rewrite)
        elif model not in OF_OTHERS and model._meta.managed and not model._meta.proxy:
            rewrite_texts(model._base_manager.all(), rewrite)


def rewrite_texts(rows: "models.QuerySet[Any]", rewrite: Rewrite) -> None:
    """Rewrite the texts of these rows, column by column; only what differs is written."""
    names = [one.name for one in texts_of(rows.model)]
    if not names:
        return
    found = {}
    for pk, *values in rows.order_by().values_list("pk", *names).iterator(chunk_size=500):
        new = {
            name: _fitting(rows.model, name, after)
            for name, value in zip(names, values, strict=True)
            if (after := rewrite(value)) != value
        }
        if new:
            found[pk] = new
    for pk, new in found.items():  # afterwards, so that no row is written while rows are read
        rows.model._base_manager.filter(pk=pk).update(**new)


def texts_of(model: type[models.Model]) -> Iterator["models.Field[Any, Any]"]:
    """The columns that hold free text: no keys, no choices, no names of files."""
    for field in model._meta.concrete_fields:
        is_text = isinstance(field, models.CharField | models.TextField | models.JSONField)
        if is_text and not (field.primary_key or field.unique or field.choices):
            yield field


def _fitting(model: type[models.Model], name: str, value: Any) -> Any:
    longest = getattr(model._meta.get_field(name), "max_length", None)
    return value[:longest] if isinstance(value, str) else value


def _rewrite_sessions(rewrite: Rewrite) -> None:
    """A session may still hold a message or a choice that names somebody."""
    for session in Session.objects.all():
        held = session.get_decoded()
        if (after := rewrite(held)) != held:
            session.session_data = SessionStore().encode(after)
            session.save(update_fields=["session_data"])


def is_called_so(name: str, *, besides: type[models.Model]) -> bool:
    """Whether something else is called by just this name: an animal, a tank, a keeper, a strain."""
    return any(
        model._base_manager.filter(**{f"{field.name}__iexact": name}).exists()
        for model in apps.get_models()
        for field in model._meta.concrete_fields
        if model is not besides and field.name in NAMES and isinstance(field, models.CharField)
    )
