"""What was changed in a record after it was written: which changes are corrections, in words."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db import models
from django.db.models import Q

from breeding.animals.models import Animal
from breeding.program.acts.history import (
    NEVER_KEPT,
    NOTHING,
    SAID_ELSEWHERE,
    change_words,
)
from breeding.program.models import Program
from breeding.records.apps import RecordsConfig
from breeding.records.chronicle.entry import Change
from breeding.words.language import tell
from breeding.words.stored import read_stored

Model = type[models.Model]
CORRECTED, WITHDRAWN, BROUGHT_BACK = "corrected", "withdrawn", "brought back"

# Filled in as things go on: no correction as long as there was nothing before.
FILLED_LATER = {
    "animals.loan": ("until",),
    "housing.stay": ("until",),
    "health.death": ("findings", "examined_by", "photograph"),
    "health.observation": ("over_on",),
    "health.quarantine": ("ended_on", "result", "note"),
    "health.treatment": ("until", "hold_until"),
    "pairings.pairing": ("separated_on", "moved", "moved_to", "separation_note"),
    "buyers.reservation": ("deposit_paid_on", "fulfilled_on"),
    "agenda.reminder": ("done_on",),
    "arrivals.loanagreement": ("back_on", "young_given"),
    "buyers.handover": ("came_back_on", "came_back_because"),
}
# Told as things of their own.
NO_CORRECTIONS = {"animals.animal": ("state", "portrait")}
# Said with the withdrawal.
WITH_WITHDRAWING = ("withdrawn_by", "withdrawn_reason")
# What viewers read of buyers stands on the buyers' pages; how it was before is for keepers.
FOR_KEEPERS = ("arrivals", "buyers", "offers")


def is_read_by(model: Model, *, may_write: bool) -> bool:
    """Whether one may read how a record of this kind was before it was changed."""
    return may_write or model._meta.app_label not in FOR_KEEPERS


def corrections(told: Iterable[Model]) -> Q:
    """Entries of the history that are corrections, of these kinds of records.

    Every change is one, but for the kinds of records of which some are none: there the history
    is asked which fields it names.
    """
    told = list(told)
    found = Q(pk__in=[])
    for model in told:
        if model._meta.label_lower in FILLED_LATER.keys() | NO_CORRECTIONS.keys():
            kind = Q(content_type=ContentType.objects.get_for_model(model))
            found |= kind & _not_only_filled_in(model)
            told = [one for one in told if one is not model]
    kinds = ContentType.objects.get_for_models(*told).values()
    return Q(action=LogEntry.Action.UPDATE) & (Q(content_type__in=list(kinds)) | found)


def _not_only_filled_in(model: Model) -> Q:
    later = FILLED_LATER.get(model._meta.label_lower, ())
    apart = (*later, *NO_CORRECTIONS.get(model._meta.label_lower, ()))
    usual = [name for name in _kept_fields(model) if name not in apart]
    if model is Animal:  # the day of a state, put right alone
        usual.remove("state_on")
        of_its_state = Q(changes__has_key="state_on") & ~Q(changes__has_key="state")
        return Q(changes__has_any_keys=usual) | of_its_state
    changed = Q(changes__has_any_keys=usual)
    for name in later:
        was_there = ~Q(**{f"changes__{name}__0__in": ["None", ""]})
        changed |= Q(changes__has_key=name) & was_there
    return changed


def _kept_fields(model: Model) -> list[str]:
    left_out = {*SAID_ELSEWHERE, *WITH_WITHDRAWING, *NEVER_KEPT}
    return [one.name for one in model._meta.concrete_fields if one.name not in left_out]


def about(animals: list[Animal]) -> Q:
    """Entries on these animals and on whatever was written of them: stays, sightings, sheets."""
    found = Q(pk__in=[])
    for model in RecordsConfig.kept_models():
        kind = ContentType.objects.get_for_model(model)
        if model is Animal:
            found |= Q(content_type=kind, object_id__in=[one.pk for one in animals])
            continue
        named = [one.name for one in model._meta.fields if one.related_model is Animal]
        if named:
            of_them = Q(pk__in=[])
            for name in named:
                of_them |= Q(**{f"{name}__in": animals})
            rows = model._base_manager.filter(of_them).values("pk")
            found |= Q(content_type=kind, object_id__in=rows)
    return found


def entries_of(shown: Mapping[Model, Sequence[int]], *, may_write: bool) -> list[LogEntry]:
    """The corrections of these records, the latest first: one query."""
    readable = {
        model: pks for model, pks in shown.items() if is_read_by(model, may_write=may_write)
    }
    of_them = Q(pk__in=[])
    for model, pks in readable.items():
        of_them |= Q(content_type=ContentType.objects.get_for_model(model), object_id__in=pks)
    if not readable:
        return []
    found = LogEntry.objects.filter(of_them).filter(corrections(readable))
    return list(found.select_related("actor", "content_type").order_by("-timestamp", "-pk"))


def changes_by_record(
    entries: Iterable[LogEntry], names: Any, program: Program
) -> dict[tuple[Model, int], list[Change]]:
    """What was changed in each record, in words; a withdrawal stands with the record itself."""
    found: dict[tuple[Model, int], list[Change]] = defaultdict(list)
    for entry in entries:
        words = corrected_words(entry, names, program)
        if words and what_was_done(entry) != WITHDRAWN:
            model = entry.content_type.model_class()
            found[model, entry.object_id].append(Change(words, entry.actor, entry.timestamp))
    return found


def corrected_words(entry: LogEntry, names: Any, program: Program) -> list[str]:
    """Field by field what it was and what it is; of a withdrawal only the reason."""
    changes = entry.changes or {}
    if what_was_done(entry) == CORRECTED:
        return change_words(entry, names, program)
    before, after = (read_stored(str(one)) for one in changes.get("withdrawn_reason", ["", ""]))
    if what_was_done(entry) == BROUGHT_BACK:
        return [tell("brought back; it had been withdrawn: {reason}", reason=before)]
    return [tell("withdrawn: {reason}", reason=after)]


def what_was_done(entry: LogEntry) -> str:
    """Withdrawn and brought back are said as what they are."""
    withdrawn = (entry.changes or {}).get("withdrawn_at")
    if not isinstance(withdrawn, list) or len(withdrawn) != 2:
        return CORRECTED
    before, after = (value in NOTHING for value in withdrawn)
    if before and after:  # newly written down, and never withdrawn
        return CORRECTED
    return BROUGHT_BACK if after else WITHDRAWN
