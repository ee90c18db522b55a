"""What the kept history tells: corrections, and the changes of what has no day of its own."""

from collections.abc import Callable, Collection
from contextlib import suppress
from typing import Any

from auditlog.models import LogEntry
from django.apps import apps
from django.contrib.contenttypes.models import ContentType
from django.db import models
from django.db.models import Q
from django.urls import NoReverseMatch

from breeding.animals.models import Loan, PossibleSire, SpeciesShare
from breeding.litters.models import Pup
from breeding.program.acts.history import ACTS
from breeding.records.apps import RecordsConfig
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.corrected import (
    BROUGHT_BACK,
    WITHDRAWN,
    about,
    corrected_words,
    corrections,
    is_read_by,
    what_was_done,
)
from breeding.records.chronicle.corrected import CORRECTED as CORRECTED_LATER
from breeding.records.chronicle.entry import Telling, Told, phrase
from breeding.records.chronicle.kinds import CORRECTED, FURTHER, PEOPLE, SETTINGS, TANKS, Kind
from breeding.records.chronicle.source import Source
from breeding.records.chronicle.sources import (
    animals,
    arrivals,
    buyers,
    feeding,
    health,
    housing,
    litters,
    pairings,
    papers,
    program,
    traits,
)
from breeding.words.language import message, tell

Model = type[models.Model]

ROOMS = (
    *(animals, health, housing, feeding, pairings, litters),
    *(traits, buyers, arrivals, papers, program),
)
# What a source of its own tells: the history adds what was changed in it, and no more.
TOLD: tuple[Model, ...] = tuple(
    {
        source.model: None
        for room in ROOMS
        for source in room.SOURCES
        if source.model is not LogEntry and source.model._meta.app_label in RecordsConfig.KEPT
    }
)
# What the others are called together; whatever is named nowhere is a further record.
TOGETHER = {
    TANKS: ("housing.Tank", "housing.WaterSystem"),
    PEOPLE: ("program.Person", "agenda.Feed", "agenda.DigestChoice"),
    SETTINGS: (
        "program.Program",
        *(f"animals.{name}" for name in ("Profile", "ProfileFigure", "Species", "Strain")),
        "housing.WaterRange",
        "pairings.SignKind",
        "sheets.Sharing",
    ),
}
FOR_VIEWERS = (TANKS,)
# Told with the record that they belong to; only what is changed in them is told alone.
PARTS: tuple[Model, ...] = (Pup, PossibleSire, SpeciesShare, Loan)


_DONE = {
    CORRECTED_LATER: message("[corrected]: {record}"),
    WITHDRAWN: message("[withdrawn]: {record}"),
    BROUGHT_BACK: message("[brought back]: {record}"),
}


def _called(entry: LogEntry, model: Model) -> str:
    """The kind of a record, and what it was called."""
    return tell("{kind} “{name}”", kind=model._meta.verbose_name, name=entry.object_repr)


def corrected(entry: LogEntry, telling: Telling) -> Told:
    """What the record says today, and what was changed in it."""
    model = entry.content_type.model_class()
    told = telling.records.get((model, entry.object_id))
    changes = corrected_words(entry, telling.names, telling.program)
    done = _DONE[what_was_done(entry)]
    if told is None:
        return Told(phrase(done, record=_called(entry, model)), changes=changes)
    return Told(
        phrase(done, record=told.words.plain),
        subject=told.subject,
        address=told.address,
        changes=changes,
    )


def corrected_by(*, for_keepers: bool) -> Callable[[Asked], Q]:
    """Corrections that viewers read too, or those that are for keepers."""

    def only(asked: Asked) -> Q:
        return corrections(
            model
            for model in (*TOLD, *PARTS)
            if is_read_by(model, may_write=False) is not for_keepers
        )

    return only


def changed(entry: LogEntry, telling: Telling) -> Told:
    """A record that no source tells: what it is called, and what was changed in it."""
    model = entry.content_type.model_class()
    is_gone = entry.action == LogEntry.Action.DELETE
    return Told(
        phrase(
            message("[{done}]: {record}"),
            done=tell(ACTS.get(entry.action, "read")),
            record=_called(entry, model),
        ),
        address="" if is_gone else _page_of(model, entry.object_id),
        changes=corrected_words(entry, telling.names, telling.program),
    )


def _page_of(model: Model, pk: int | None) -> str:
    address = getattr(model(pk=pk), "get_absolute_url", None)
    if pk is None or address is None:
        return ""
    with suppress(NoReverseMatch):  # an address that hangs on more than the key is left out
        return str(address())
    return ""


def _of(found: Collection[Model]) -> Q:
    return Q(content_type__in=list(ContentType.objects.get_for_models(*found).values()))


def of_kind(kind: Kind) -> Callable[[Asked], Q]:
    """Changes of the records that are called so together."""

    def only(asked: Asked) -> Q:
        found = _of([apps.get_model(name) for name in TOGETHER[kind]])
        if kind == SETTINGS:  # species, figures and signs come with the tool
            found &= ~Q(action=LogEntry.Action.CREATE, actor__isnull=True)
        return found

    return only


def of_the_rest(asked: Asked) -> Q:
    """Changes of all other records, and what was taken out of those that are told."""
    elsewhere = {apps.get_model(name) for names in TOGETHER.values() for name in names}
    told = (*TOLD, *PARTS)
    others = [one for one in RecordsConfig.kept_models() if one not in (*elsewhere, *told)]
    return _of(others) | _of(told) & Q(action=LogEntry.Action.DELETE)


def _from_history(kind: Kind, tell: Any, **more: Any) -> Source:
    return Source(
        kind=kind,
        model=LogEntry,
        day="timestamp",
        tell=tell,
        related=("content_type",),
        words=("object_repr",),
        written="timestamp",
        by="actor",
        **more,
    )


SOURCES = (
    _from_history(CORRECTED, corrected, only=corrected_by(for_keepers=False), about=about),
    _from_history(
        CORRECTED,
        corrected,
        only=corrected_by(for_keepers=True),
        about=about,
        for_keepers=True,
    ),
    *(
        _from_history(kind, changed, only=of_kind(kind), for_keepers=kind not in FOR_VIEWERS)
        for kind in TOGETHER
    ),
    _from_history(FURTHER, changed, only=of_the_rest, for_keepers=True),
)
