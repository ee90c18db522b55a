"""The receipt of what somebody wrote last, on every page for a while: undo it, or change it."""

import datetime
from typing import Any

from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db import models

from breeding.program.acts.mending import change_address_of, kind_of
from breeding.program.models import Act, Person
from breeding.program.problems.several import read_of

SHOWN_FOR = datetime.timedelta(minutes=15)
# Fields whose change cannot be put back, by the name of their model, with the value that they then
# have; None: whichever. How somebody signs in is switched on their account, with the password.
_never_undone: dict[tuple[str, str], str | None] = {("program.person", "two_step_since"): None}


def add_never_undone(model: str, field: str, value: str | None = None) -> None:
    """An act that gives this field this value is written with a receipt that offers no undoing."""
    _never_undone[model, field] = value


def receipt_for(person: Person, *, now: datetime.datetime) -> Act | None:
    """What this person wrote last, unless it is long ago or was put away. One query."""
    lately = Act.objects.filter(person=person, at__gt=now - SHOWN_FOR)
    acts = lately.exclude(said="").filter(undone_by=None, is_put_away=False)
    return acts.select_related("undoes").first()


def keep_receipt(act: Act, leads_to: str) -> None:
    """Keep what was said, where it led, and where the one record that was written is changed."""
    act.leads_to = leads_to if len(leads_to) <= 300 else ""
    act.change_at = "" if act.is_undoing else _change_address(act.at_first)
    columns = ("content_type__app_label", "content_type__model", "changes")
    changed = list(LogEntry.objects.filter(cid=act.key).values_list(*columns))
    act.is_undoable = bool(changed) and not any(
        _is_for_good(f"{room}.{model}", changes or {}) for room, model, changes in changed
    )
    act.save(update_fields=["said", "said_in", "leads_to", "change_at", "is_undoable"])


def _is_for_good(model: str, changes: dict[str, Any]) -> bool:
    return any(
        field in changes and value in (None, str(changes[field][1]))
        for (of, field), value in _never_undone.items()
        if of == model
    )


def _change_address(act: Act) -> str:
    """Where the record that the act was about is changed; empty when it made several alike.

    What is a part of something else, like the picture that came with a sighting, stands back.
    """
    made = _made_with(act)
    about = [one for one in made if not getattr(one, "part_of", "")] or made
    alike = [one for one in about if type(one) is type(about[0])]
    return change_address_of(alike[0]) if len(alike) == 1 else ""


def _made_with(act: Act) -> list[models.Model]:
    """What can be put right of what the act made, the first first."""
    entries = LogEntry.objects.filter(cid=act.key, action=LogEntry.Action.CREATE).order_by("pk")
    named = [
        (model, model._meta.pk.to_python(pk))
        for kind, pk in entries.values_list("content_type", "object_pk")[:20]
        if (model := ContentType.objects.get_for_id(kind).model_class()) is not None
    ]
    records: dict[tuple[type[models.Model], Any], models.Model] = {}
    for model in dict.fromkeys(model for model, _ in named):
        keys = [pk for its, pk in named if its is model]
        found = read_of(model._base_manager.all(), "pk", keys)
        records |= {(model, one.pk): one for one in found}
    made = [records[one] for one in named if one in records]
    return [one for one in made if kind_of(one) is not None]
