"""What the room of arrivals tells: came from somebody, lent, taken in, back, held to be kin."""

from collections.abc import Callable

from django.db.models import Q
from django.utils.html import format_html

from breeding.animals.models import AssumedKin
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.buyers.models import NOBODY, Contact
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.entry import Telling, Told, linked_name
from breeding.records.chronicle.kinds import CAME, FURTHER, LEFT, RETURNED
from breeding.records.chronicle.source import Source, written_with
from breeding.words.assumed import sure_words
from breeding.words.days import long_day

ITS_WORDS = ("note", "papers", "contact__name", "animal__code", "animal__call_name")
LOAN_WORDS = ("terms", "contact__name", "animal__code", "animal__call_name")


def _who(contact: Contact | None, telling: Telling) -> str:
    if contact is None:
        return "somebody"
    return linked_name(contact) if telling.reads_buyers else NOBODY.replace("buyer", "person")


def came(record: Arrival, telling: Telling) -> Told:
    price = ""
    if telling.reads_buyers and record.price is not None:
        price = f", {record.price} {record.currency}"
    pregnant = f", {record.get_pregnant_display()}" if record.pregnant else ""
    return Told(
        lead="came",
        rest=format_html(" from {}{}{}", _who(record.contact, telling), price, pregnant),
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note=record.note if telling.reads_buyers else "",
    )


def lent(record: LoanAgreement, telling: Telling) -> Told:
    until = f", due back on {long_day(record.due_back_on)}" if record.due_back_on else ""
    how = "to" if record.is_out else "here by"
    return Told(
        lead="lent",
        rest=format_html(" {} {}{}", how, _who(record.contact, telling), until),
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note=record.terms if telling.reads_buyers else "",
    )


def back(record: LoanAgreement, telling: Telling) -> Told:
    how = "from" if record.is_out else "to"
    return Told(
        lead="came back" if record.is_out else "went back",
        rest=format_html(" {} {}, on loan until then", how, _who(record.contact, telling)),
        subject=record.animal,
        address=record.animal.get_absolute_url(),
    )


def held(record: AssumedKin, telling: Telling) -> Told:
    sure = f" ({sure_words(record.certainty)})" if record.certainty is not None else ""
    return Told(
        lead="held",
        rest=format_html(
            " to be, with {}: {}{}", linked_name(record.other), record.get_degree_display(), sure
        ),
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
        model=AssumedKin,
        day="recorded_at",
        tell=held,
        animals=("one", "other"),
        related=("one", "other"),
        words=("note", "one__call_name", "one__code", "other__call_name", "other__code"),
    ),
)
