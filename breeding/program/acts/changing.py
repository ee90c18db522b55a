"""Two people change one record: the second sees what the first did, and decides."""

import hashlib

from auditlog.models import LogEntry
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.http import HttpRequest

from breeding.program.acts.history import (
    change_words,
    changes_of_parts,
    done_words,
    kind_of,
    names_in,
)
from breeding.program.models import Program
from breeding.words.language import tell

FIELD = "seen"


def version_of(record: models.Model) -> str:
    """A short word that is another one as soon as a field of the record holds another value.

    A record whose form chooses rows of its own as well names them in `chosen_with`.
    """
    held = [str(getattr(record, one.attname)) for one in record._meta.concrete_fields]
    for name in getattr(record, "chosen_with", ()):
        rows = getattr(record, name).order_by("pk")
        held.append(" ".join(str(key) for key in rows.values_list("pk", flat=True)))
    text = "\0".join([record._meta.label, *held])
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def version_to_show(request: HttpRequest, record: models.Model) -> str:
    """The version for a form: what the form sent said it saw, until it was told otherwise."""
    seen = request.POST.get(FIELD, "")
    if seen and not getattr(request, "seen_is_stale", False):
        return seen
    now = record._meta.model._base_manager.filter(pk=record.pk).first()  # not as typed
    return version_of(now) if now else ""


def refuse_when_changed(request: HttpRequest, record: models.Model, program: Program) -> None:
    """Raise ValidationError when the record is not as it stood when the form was shown.

    The record is locked and read anew. What the form says it saw is in the field `seen`; the page
    that is shown again carries what stands now, so that sending it once more is a decision.
    """
    seen = request.POST.get(FIELD, "")
    now = record._meta.model._base_manager.select_for_update().get(pk=record.pk)
    if seen and seen != version_of(now):
        request.seen_is_stale = True  # type: ignore[attr-defined]
        raise ValidationError(meanwhile_words(now, program, by=request.user.pk), code="meanwhile")


def meanwhile_words(record: models.Model, program: Program, *, by: int | None) -> str:
    """Who changed what of it last, and what saving it now would do."""
    last = _last_change(record)
    if last is None:
        return tell(
            "Somebody else changed this while you had it open. Look at it, and save once more if "
            "yours is right."
        )
    what = "; ".join(_changed_words(record, last, program))
    if last.actor_id == by:
        return tell(
            "You changed this yourself while you had it open ({what}). Look at it, and save once "
            "more if yours is right.",
            what=what,
        )
    return tell(
        "{person} changed this while you had it open ({what}). Look at it, and save once more if "
        "yours is right.",
        person=last.actor or tell("Somebody"),
        what=what,
    )


def _last_change(record: models.Model) -> LogEntry | None:
    """The last change of it, or of what its form chooses with it."""
    own = Q(content_type=kind_of(type(record)), object_pk=str(record.pk))
    own &= ~Q(action=LogEntry.Action.CREATE)
    of_parts = changes_of_parts(record) if getattr(record, "chosen_with", ()) else Q()
    entries = LogEntry.objects.filter(own | of_parts).select_related("actor", "content_type")
    return entries.order_by("-pk").first()


def _changed_words(record: models.Model, last: LogEntry, program: Program) -> list[str]:
    """What was changed, field by field; of rows that are chosen with it, which came and went."""
    if last.content_type.model_class() is type(record):
        return change_words(last, names_in([last]), program)
    of_one_act = LogEntry.objects.filter(changes_of_parts(record), cid=last.cid)
    came_and_went = list(of_one_act.select_related("content_type").order_by("pk"))
    names, whole = names_in(came_and_went), f": {record}"  # of which part it is, everybody sees
    said = []
    for one in came_and_went:
        which = [words for words in change_words(one, names, program) if not words.endswith(whole)]
        said.append(", ".join([done_words(one, record), *which]))
    return said
