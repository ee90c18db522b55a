"""What the buyers' room tells: kept for somebody, went to somebody, came back."""

from django.urls import reverse

from breeding.buyers.models import Contact, HandOver, Reservation, Wish
from breeding.records.chronicle.entry import Telling, Told, linked_name, phrase
from breeding.records.chronicle.kinds import BUYERS, LEFT, RESERVED, RETURNED
from breeding.records.chronicle.source import Source, written_with
from breeding.words.days import long_day
from breeding.words.language import message, tell
from breeding.words.wishes import wish_words

ITS_WORDS = ("note", "contact__name", "animal__code", "animal__call_name")


def _buyer(contact: Contact, telling: Telling) -> str:
    return linked_name(contact) if telling.reads_buyers else tell("a buyer")


def _said(words: str, telling: Telling) -> str:
    """What keepers wrote freely may say who it is."""
    return words if telling.reads_buyers else ""


def reserved(record: Reservation, telling: Telling) -> Told:
    buyer = _buyer(record.contact, telling)
    return Told(
        phrase(
            message("[reserved] for {buyer}, until {day}"), buyer=buyer, day=long_day(record.until)
        )
        if record.until
        else phrase(message("[reserved] for {buyer}"), buyer=buyer),
        subject=record.animal,
        address=record.contact.get_absolute_url()
        if telling.reads_buyers
        else record.animal.get_absolute_url(),
        note=_said(record.note, telling),
    )


def went(record: HandOver, telling: Telling) -> Told:
    return Told(
        phrase(
            message("[went] to {buyer}, {transport}"),
            buyer=_buyer(record.contact, telling),
            transport=record.get_transport_display(),
        ),
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note=_said(record.note, telling),
    )


def returned(record: HandOver, telling: Telling) -> Told:
    because, buyer = _said(record.came_back_because, telling), _buyer(record.contact, telling)
    return Told(
        phrase(message("[came back] from {buyer}: {reason}"), buyer=buyer, reason=because)
        if because
        else phrase(message("[came back] from {buyer}"), buyer=buyer),
        subject=record.animal,
        address=record.animal.get_absolute_url(),
    )


def wished(record: Wish, telling: Telling) -> Told:
    return Told(
        phrase(message("[waits] for {wish}"), wish=wish_words(record, telling.program.length_unit)),
        subject=record.contact,
        address=reverse("buyers:detail", args=[record.contact_id]),
        note=record.note,
    )


def written_down(record: Contact, telling: Telling) -> Told:
    return Told(
        phrase(message("[written down] as a contact")),
        subject=record,
        address=record.get_absolute_url(),
    )


SOURCES = (
    Source(
        kind=BUYERS,
        model=Contact,
        day="recorded_at",
        tell=written_down,
        words=("name", "wish"),
    ),
    Source(
        kind=BUYERS,
        model=Wish,
        day="wished_on",
        tell=wished,
        related=("contact", "species", "strain"),
        words=("contact__name", "note"),
    ),
    Source(
        kind=RETURNED,
        model=HandOver,
        day="came_back_on",
        tell=returned,
        animals=("animal",),
        related=("animal", "contact"),
        words=("came_back_because", *ITS_WORDS),
        **written_with(HandOver, "came_back_on"),
    ),
    Source(
        kind=RESERVED,
        model=Reservation,
        day="reserved_on",
        tell=reserved,
        animals=("animal",),
        related=("animal", "contact"),
        words=ITS_WORDS,
    ),
    Source(
        kind=LEFT,
        model=HandOver,
        day="on",
        tell=went,
        animals=("animal",),
        related=("animal", "contact"),
        words=ITS_WORDS,
    ),
)
