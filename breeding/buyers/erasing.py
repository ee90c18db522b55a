"""A buyer's personal data erased on request; that an animal went to "a buyer" on a day stays."""

import datetime
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from auditlog.models import LogEntry
from django.apps import apps
from django.contrib.contenttypes.models import ContentType
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.db.models import Q
from django.utils import timezone

from breeding.buyers.models import NOBODY, STANDING, Contact, HandOver, Reservation, Wish
from breeding.program.acts.erasing import (
    SHORTEST,
    is_called_so,
    rewrite_everywhere,
    rewrite_texts,
    texts_of,
    without,
)
from breeding.program.models import Act, Person
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import joined
from breeding.words.stored import stored

ERASED = stored(message("erased"))  # what stands where a reason is needed and the one typed is gone
# A mail address or a telephone number, wherever it stands in what was typed to reach them.
_ADDRESS = re.compile(r"[^\s,;<>()]+@[^\s,;<>()]+")
_NUMBER = re.compile(r"\+?\d[\d ()/.-]{4,}\d")
_PARTS = re.compile(r"[,;\n]")
# Empties the rows of a contact that a room above keeps: the rows, by whom, at which moment.
Empty = Callable[["models.QuerySet[Any]", Person, datetime.datetime], None]
_above: dict[str, Empty] = {}
SHORTEST_ADDRESS = 6  # letters of what is looked for everywhere; assumption


@dataclass(frozen=True)
class Erasure:
    """What would be erased of a buyer and what would stay, for whoever has to decide."""

    wishes: int
    reservations: int
    hand_overs: list[HandOver]
    in_the_way: list[Reservation]
    is_common_name: bool

    @property
    def in_numbers(self) -> str:
        """ "1 wish, 2 reservations and 3 hand-overs"."""
        return joined(
            [
                tell_many("{number} wish", "{number} wishes", self.wishes),
                tell_many("{number} reservation", "{number} reservations", self.reservations),
                tell_many("{number} hand-over", "{number} hand-overs", len(self.hand_overs)),
            ]
        )


def erase_with_contact(label: str, empty: Empty) -> None:
    """Called once by a room above, in its AppConfig.ready: rows with a `contact`, gone with it."""
    _above[label] = empty


def erasure_of(contact: Contact) -> Erasure:
    """What the page says before anybody decides."""
    kept = contact.reservations.select_related("animal")
    return Erasure(
        wishes=contact.wishes.count(),
        reservations=kept.count(),
        hand_overs=list(contact.hand_overs.select_related("animal")),
        in_the_way=list(kept.filter(STANDING)),
        is_common_name=_is_common(contact.name, contact),
    )


@transaction.atomic
def erase_person(contact: Contact, *, by: Person, now: datetime.datetime, because: str) -> Contact:
    """Erase who it was, everywhere: name, reach, wishes, notes, and the history of all of these.

    The animals that went to them stay as gone to "a buyer". There is no way back. `because` says
    on whose wish, without a name. Raises ValidationError while an animal is kept for them.
    """
    contact = Contact.objects.select_for_update().get(pk=contact.pk)
    _check_can_be_erased(contact, because)
    names, ways = _names_of(contact), _ways_to_reach(contact)
    own = _own_rows(contact)
    entries = _history_of(contact, own)
    keys = {key for key in entries.values_list("cid", flat=True) if key}
    _empty_own_rows(contact, by=by, now=now, because=because)
    _forget_history(contact, own, entries)
    of_them = without([*names, *ways], NOBODY)
    rewrite_texts(Act.objects.filter(key__in=keys), of_them)
    for rows in own:
        rewrite_texts(rows, of_them)
    Act.objects.filter(key__in=keys).update(is_undoable=False)
    distinct = [one for one in names if not _is_common(one, contact)]
    distinct += [one for one in ways if _is_theirs_alone(one)]
    rewrite_everywhere(without(distinct, NOBODY), on=timezone.localdate(now))
    contact.refresh_from_db()
    _write_history(contact, by=by)
    return contact


def _check_can_be_erased(contact: Contact, because: str) -> None:
    if contact.is_erased:
        raise ValidationError(tell("This buyer's data were erased before."))
    kept = contact.reservations.filter(STANDING).select_related("animal")
    if animals := [one.animal.name for one in kept]:
        raise ValidationError(
            tell_many(
                "{animals} is reserved for {contact}. Hand over or let go first; nothing can be "
                "reserved for somebody who is not written down.",
                "{animals} are reserved for {contact}. Hand over or let go first; nothing can be "
                "reserved for somebody who is not written down.",
                len(animals),
                animals=joined(animals),
                contact=contact,
            )
        )
    if not because.strip():
        raise ValidationError({"because": tell("Write down what was asked, and when.")})
    said = without([*_names_of(contact), *_ways_to_reach(contact)], NOBODY)(because)
    if said != because:
        raise ValidationError(
            {
                "because": tell(
                    "This would leave the name or the address on record. Say it without them, "
                    "like “by letter”."
                )
            }
        )


def _names_of(contact: Contact) -> list[str]:
    """What they are called, and were called before a change."""
    return [contact.name, *_earlier(contact, "name")]


def _ways_to_reach(contact: Contact) -> list[str]:
    """What was typed to reach them, now and before: whole, each part, each address and number."""
    typed = [contact.reach, *_earlier(contact, "reach")]
    parts = [
        part
        for one in typed
        for part in (*_PARTS.split(one), *_ADDRESS.findall(one), *_NUMBER.findall(one))
    ]
    return [one.strip() for one in (*typed, *parts) if len(one.strip()) >= SHORTEST]


def _is_theirs_alone(way: str) -> bool:
    """An address or a number; “forum” or “by mail” is said of many."""
    return len(way) >= SHORTEST_ADDRESS and any(one.isdigit() or one == "@" for one in way)


def _earlier(contact: Contact, field: str) -> list[str]:
    entries = LogEntry.objects.get_for_object(contact).values_list("changes", flat=True)
    pairs = [(changes or {}).get(field) or () for changes in entries]
    return [str(one) for pair in pairs for one in pair if one not in (None, "None", "", NOBODY)]


def _is_common(name: str, contact: Contact) -> bool:
    """Whether the name may mean something else, in texts that are not about this person.

    One word may (“Rose”, “May”), and so may what somebody or something else is called too.
    """
    others = Contact.objects.filter(name__iexact=name).exclude(pk=contact.pk)
    return len(name.split()) < 2 or others.exists() or is_called_so(name, besides=Contact)


def _own_rows(contact: Contact) -> "tuple[models.QuerySet[models.Model], ...]":
    return (
        Reservation._base_manager.filter(contact=contact),
        Wish._base_manager.filter(contact=contact),
        HandOver._base_manager.filter(contact=contact),
        *(apps.get_model(label)._base_manager.filter(contact=contact) for label in _above),
    )


def _history_of(
    contact: Contact, own: "Iterable[models.QuerySet[models.Model]]"
) -> "models.QuerySet[LogEntry]":
    """The history of the contact and of these rows."""
    wanted = Q(content_type=_type_of(Contact), object_id=contact.pk)
    for rows in own:
        keys = list(rows.values_list("pk", flat=True))
        wanted |= Q(content_type=_type_of(rows.model), object_id__in=keys)
    entries: models.QuerySet[LogEntry] = LogEntry.objects.filter(wanted)
    return entries


def _type_of(model: type[models.Model]) -> ContentType:
    return ContentType.objects.get_for_model(model)


def _empty_own_rows(contact: Contact, *, by: Person, now: datetime.datetime, because: str) -> None:
    """Past the history, which would keep what was there before."""
    reservations, wishes, hand_overs, *others = _own_rows(contact)
    for rows, empty in zip(others, _above.values(), strict=True):
        rows.exclude(withdrawn_reason="").update(withdrawn_reason=ERASED)
        empty(rows, by, now)
    for rows in (reservations, wishes, hand_overs):
        rows.exclude(withdrawn_reason="").update(withdrawn_reason=ERASED)
        rows.update(note="")
    wishes.filter(withdrawn_at__isnull=True).update(
        withdrawn_at=now, withdrawn_by=by, withdrawn_reason=ERASED
    )
    hand_overs.exclude(came_back_because="").update(came_back_because=ERASED)
    hand_overs.update(packing="")
    Contact.objects.filter(pk=contact.pk).update(
        name=NOBODY,
        reach="",
        wish="",
        language="",
        withdrawn_reason="" if contact.withdrawn_at is None else ERASED,
        erased_at=now,
        erased_by=by,
        erased_because=because.strip(),
    )


def _forget_history(
    contact: Contact,
    own: "Iterable[models.QuerySet[models.Model]]",
    entries: "models.QuerySet[LogEntry]",
) -> None:
    """Of their rows the history keeps who wrote when, days and figures; no text, and no name."""
    called = {(_type_of(Contact).pk, contact.pk): NOBODY}
    texts = {_type_of(Contact).pk: {one.name for one in texts_of(Contact)}}
    for rows in own:
        kind = _type_of(rows.model).pk
        texts[kind] = {one.name for one in texts_of(rows.model)}
        called |= {(kind, one.pk): str(one) for one in rows.select_related("contact")}
    for entry in entries:
        changes = entry.changes or {}
        gone = texts[entry.content_type_id]
        LogEntry.objects.filter(pk=entry.pk).update(
            object_repr=called[entry.content_type_id, entry.object_id],
            changes={name: pair for name, pair in changes.items() if name not in gone},
            serialized_data=None,
            additional_data=None,
        )


def _write_history(contact: Contact, *, by: Person) -> None:
    """That it was erased, by whom and when; outside the act, so that no undo finds it."""
    LogEntry.objects.create(
        content_type=_type_of(Contact),
        object_pk=str(contact.pk),
        object_id=contact.pk,
        object_repr=NOBODY,
        action=LogEntry.Action.UPDATE,
        changes={"erased_because": ["None", contact.erased_because]},
        actor=by,
    )
