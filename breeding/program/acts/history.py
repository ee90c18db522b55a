"""The history of every change in words: which field, from what to what."""

import datetime
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.core.exceptions import FieldDoesNotExist
from django.db import models
from django.db.models import Q

from breeding.program.kinds import kind_words
from breeding.program.models import Program, Withdrawable
from breeding.program.templatetags.formats import moment
from breeding.words.days import long_day
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import written
from breeding.words.sizes import length, weight
from breeding.words.stored import read_stored

MOST_FIELDS, LONGEST_VALUE, MOST_CHANGES = 12, 80, 50
NEVER_KEPT = ("password", "last_login", "token", "token_hash", "nonce")  # secrets, no facts
NOTHING = ("None", "", None)
# Who and when stand beside each change; a key and a signed file say nothing to a keeper.
SAID_ELSEWHERE = ("id", "recorded_at", "recorded_by", "content", "file_base64")
ACTS = {0: message("written down"), 1: message("changed"), 2: message("taken out")}
READ = message("read")

Names = Mapping[type[models.Model], Mapping[str, str]]


def changes_in(entry: LogEntry) -> Iterator[tuple[str, Any, Any]]:
    """Field, before and after, of what may be shown, in the order of the model's fields."""
    model = entry.content_type.model_class()
    known = [field.name for field in model._meta.fields] if model else []
    changes = entry.changes or {}
    for name in [*(one for one in known if one in changes), *sorted(changes.keys() - set(known))]:
        change = changes[name]
        if name in NEVER_KEPT or name in SAID_ELSEWHERE:
            continue
        field = field_of(entry, name)
        is_of_others = field is not None and not field.concrete  # the record points to nothing
        if not is_of_others and isinstance(change, list | tuple) and len(change) == 2:
            yield name, change[0], change[1]


def names_in(entries: Iterable[LogEntry]) -> dict[type[models.Model], dict[str, str]]:
    """What the records are called that these changes point to: one query for each kind."""
    wanted: dict[type[models.Model], set[int]] = {}
    for entry in entries:
        for name, *values in changes_in(entry):
            field = field_of(entry, name)
            if field is not None and field.related_model:
                keys = {int(one) for one in values if str(one).isascii() and str(one).isdigit()}
                wanted.setdefault(field.related_model, set()).update(keys)
    return {
        model: {
            str(one.pk): str(one)
            for one in model._base_manager.select_related().filter(pk__in=keys)
        }
        for model, keys in wanted.items()
        if keys
    }


SIZE = "disc_width_mm"  # called as the animals' size is called


def change_words(entry: LogEntry, names: Names, program: Program) -> list[str]:
    """One phrase a field: "state: from here to died"; of a new record what it holds."""
    said = []
    for name, before, after in changes_in(entry):
        field = field_of(entry, name)
        label = str(getattr(field, "verbose_name", name)).replace("_", " ")
        if name.endswith(SIZE):
            label = label.replace(tell("disc width mm"), f"{kind_words().size} mm")
        old, new = (value_words(field, value, names) for value in (before, after))
        for unit, in_words in measures(program).items():
            if name.endswith(unit):
                label = label.removesuffix(unit.replace("_", " "))
                old, new = in_words(old), in_words(new)
        if entry.action == LogEntry.Action.UPDATE:
            nothing = tell("nothing")
            said.append(
                tell(
                    "{field}: from {old} to {new}",
                    field=label,
                    old=old or nothing,
                    new=new or nothing,
                )
            )
        elif known := new or old:
            said.append(tell("{field}: {value}", field=label, value=known))
    more = len(said) - MOST_FIELDS
    if more <= 0:
        return said
    return [*said[:MOST_FIELDS], tell_many("and {number} more", "and {number} more", more)]


@dataclass(frozen=True)
class Change:
    """One change of a record: who, when and what, in words."""

    done: str
    at: datetime.datetime
    by: str
    said: list[str]


def history_of(record: models.Model, program: Program) -> list[Change]:
    """What was changed of one record, the latest first; how it was written down comes last."""
    of_it = Q(content_type=kind_of(type(record)), object_pk=str(record.pk))
    entries = list(
        LogEntry.objects.filter(of_it | changes_of_parts(record))
        .select_related("actor", "content_type")
        .order_by("-pk")[:MOST_CHANGES]
    )
    names = names_in(entries)
    return [
        Change(
            done_words(one, record),
            one.timestamp,
            str(one.actor or tell("the program")),
            _said(one, names, program),
        )
        for one in entries
    ]


def changes_of_parts(record: models.Model) -> Q:
    """The changes of its parts that have no history page of their own."""
    found = Q()
    for model, name in _kinds_of_parts(record):
        is_of_it = Q(**{f"changes__{name}__0": str(record.pk)})
        is_of_it |= Q(**{f"changes__{name}__1": str(record.pk)})
        found |= Q(content_type=kind_of(model)) & is_of_it
    return found


def withdrawing_in(entry: LogEntry) -> tuple[bool, str] | None:
    """Whether a change withdrew its record, else brought it back; and why it was withdrawn."""
    changes = entry.changes or {}
    at = changes.get("withdrawn_at")
    if entry.action != LogEntry.Action.UPDATE or not isinstance(at, list) or len(at) != 2:
        return None
    before, after = changes.get("withdrawn_reason", ["", ""])
    is_gone = at[1] not in NOTHING
    return is_gone, read_stored(str((after if is_gone else before) or ""))


def _said(entry: LogEntry, names: Names, program: Program) -> list[str]:
    """Field by field; of a withdrawal only the reason."""
    withdrawing = withdrawing_in(entry)
    if withdrawing is None:
        return change_words(entry, names, program)
    is_gone, reason = withdrawing
    if not reason:
        return []
    return [reason if is_gone else tell("it had been withdrawn: {reason}", reason=reason)]


def done_words(entry: LogEntry, record: models.Model) -> str:
    """ "changed"; of a part, "possible sire taken out"."""
    done, model = tell(ACTS.get(entry.action, READ)), entry.content_type.model_class()
    if withdrawing := withdrawing_in(entry):
        done = tell("withdrawn") if withdrawing[0] else tell("brought back")
    if model is None or isinstance(record, model):
        return done
    return tell("{part} {done}", part=model._meta.verbose_name, done=done)


def _kinds_of_parts(record: models.Model) -> Iterator[tuple[type[models.Model], str]]:
    """The models of parts that have no history page of their own, with the field that names it."""
    for relation in record._meta.related_objects:
        model, name = relation.related_model, relation.field.name
        if getattr(model, "part_of", "") == name and not issubclass(model, Withdrawable):
            yield model, name


def kind_of(model: type[models.Model]) -> ContentType:
    return ContentType.objects.get_for_model(model)


def measures(program: Program) -> dict[str, Callable[[str], str]]:
    """What a field's name ends in, and how such a number is written in the program's units."""

    def said(words: Callable[[float, str], str], unit: str) -> Callable[[str], str]:
        return lambda text: words(float(text), unit) if text.isdigit() else text

    return {"_mm": said(length, program.length_unit), "_g": said(weight, program.weight_unit)}


def field_of(entry: LogEntry, name: str) -> Any:
    """The field of the model; None for one that is no more."""
    model = entry.content_type.model_class()
    try:
        return model._meta.get_field(name) if model else None
    except FieldDoesNotExist:
        return None


def value_words(field: Any, value: Any, names: Names) -> str:
    """A value as the history keeps it, as a keeper reads it; nothing is an empty word."""
    if value in NOTHING:
        return ""
    text = " ".join(str(value).split())
    if choices := dict(getattr(field, "flatchoices", ())):
        return str(choices.get(text, text))
    if field is not None and field.related_model:
        return names.get(field.related_model, {}).get(
            text, tell("number {number}, no longer there", number=text)
        )
    if isinstance(field, models.BooleanField):
        return {"True": tell("yes"), "False": tell("no")}.get(text, text)
    if isinstance(field, models.DateField):
        return _day_words(field, text)
    if isinstance(field, (models.DecimalField, models.FloatField)):
        return written(text)
    text = read_stored(text)
    return text if len(text) <= LONGEST_VALUE else f"{text[:LONGEST_VALUE]}…"


def _day_words(field: "models.DateField[Any, Any]", text: str) -> str:
    try:
        at = datetime.datetime.fromisoformat(text)
    except ValueError:
        return text
    if isinstance(field, models.DateTimeField):
        return moment(at.replace(tzinfo=at.tzinfo or datetime.UTC))
    return long_day(at.date())
