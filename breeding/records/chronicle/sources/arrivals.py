"""What the room of arrivals tells: came from somebody, lent, taken in, back, held to be kin."""

from collections.abc import Callable

from django.db.models import Q

from breeding.animals.models import AssumedKin
from breeding.arrivals.models import Arrival, LoanAgreement, YoungGiven
from breeding.buyers.models import Contact
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.entry import Telling, Told, linked_name, phrase
from breeding.records.chronicle.kinds import CAME, FURTHER, LEFT, RETURNED
from breeding.records.chronicle.source import Source, written_with
from breeding.words.days import long_day
from breeding.words.descent.assumed import sure_words
from breeding.words.language import message, tell
from breeding.words.numbers import written

ITS_WORDS = ("note", "papers", "contact__name", "animal__code", "animal__call_name")
LOAN_WORDS = ("terms", "contact__name", "animal__code", "animal__call_name")


def _who(contact: Contact | None, telling: Telling) -> str:
    if contact is None:
        return tell("somebody")
    return linked_name(contact) if telling.reads_buyers else tell("a person")


def came(record: Arrival, telling: Telling) -> Told:
    words = phrase(message("[came] from {person}"), person=_who(record.contact, telling))
    if telling.reads_buyers and record.price is not None:
        price = f"{written(str(record.price))} {record.currency}"
        words = words.followed_by(message("{this}, {price}"), price=price)
    if record.pregnant:
        pregnant = record.get_pregnant_display()
        words = words.followed_by(message("{this}, {pregnant}"), pregnant=pregnant)
    return Told(
        words,
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note=record.note if telling.reads_buyers else "",
    )


def lent(record: LoanAgreement, telling: Telling) -> Told:
    sentence = (
        message("[lent] to {person}") if record.is_out else message("[lent] here by {person}")
    )
    words = phrase(sentence, person=_who(record.contact, telling))
    if record.due_back_on:
        due = long_day(record.due_back_on)
        words = words.followed_by(message("{this}, due back on {day}"), day=due)
    return Told(
        words,
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note=record.terms if telling.reads_buyers else "",
    )


def back(record: LoanAgreement, telling: Telling) -> Told:
    sentence = (
        message("[came back] from {person}, on loan until then")
        if record.is_out
        else message("[went back] to {person}, on loan until then")
    )
    return Told(
        phrase(sentence, person=_who(record.contact, telling)),
        subject=record.animal,
        address=record.animal.get_absolute_url(),
    )


def given(record: YoungGiven, telling: Telling) -> Told:
    lent = record.agreement.animal
    return Told(
        phrase(
            message("[meant] for the loan of {animal} ({person})"),
            animal=linked_name(lent),
            person=_who(record.agreement.contact, telling),
        ),
        subject=record.animal,
        address=lent.get_absolute_url(),
    )


def held(record: AssumedKin, telling: Telling) -> Told:
    words = phrase(
        message("[held] to be, with {animal}: {degree}"),
        animal=linked_name(record.other),
        degree=record.get_degree_display(),
    )
    if record.certainty is not None:
        sure = sure_words(record.certainty)
        words = words.followed_by(message("{this} ({certainty})"), certainty=sure)
    return Told(
        words,
        subject=record.one,
        address=record.one.get_absolute_url(),
        note=record.note,
    )


def in_direction(direction: str) -> Callable[[Asked], Q]:
    def only(asked: Asked) -> Q:
        return Q(direction=direction)

    return only


OUT, IN = LoanAgreement.Direction.OUT, LoanAgreement.Direction.IN

SOURCES = (
    Source(
        kind=CAME,
        model=Arrival,
        day="on",
        tell=came,
        animals=("animal",),
        related=("animal", "contact"),
        words=ITS_WORDS,
    ),
    *(
        Source(
            kind=kind,
            model=LoanAgreement,
            day="since",
            tell=lent,
            animals=("animal",),
            related=("animal", "contact"),
            words=LOAN_WORDS,
            only=in_direction(direction),
        )
        for kind, direction in ((LEFT, OUT), (CAME, IN))
    ),
    *(
        Source(
            kind=kind,
            model=LoanAgreement,
            day="back_on",
            tell=back,
            animals=("animal",),
            related=("animal", "contact"),
            words=LOAN_WORDS,
            only=in_direction(direction),
            **written_with(LoanAgreement, "back_on"),
        )
        for kind, direction in ((RETURNED, OUT), (LEFT, IN))
    ),
    Source(
        kind=FURTHER,
        model=YoungGiven,
        day="on",
        tell=given,
        animals=("animal", "agreement__animal"),
        related=("animal", "agreement__animal", "agreement__contact"),
        words=("animal__code", "animal__call_name", "agreement__contact__name"),
    ),
    Source(
        kind=FURTHER,
        model=AssumedKin,
        day="recorded_at",
        tell=held,
        animals=("one", "other"),
        related=("one", "other"),
        words=("note", "one__call_name", "one__code", "other__call_name", "other__code"),
    ),
)
