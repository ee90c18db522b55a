"""A contact's year: what was bought and sold, lent and owed, and what was paid, by currency."""

import datetime
from collections import defaultdict
from dataclasses import dataclass, field
from decimal import Decimal

from breeding.arrivals.loans.young import with_young
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.buyers.models import Contact, HandOver
from breeding.words.language import tell


@dataclass
class Year:
    """What went between this program and somebody in one year."""

    year: int
    bought: list[HandOver] = field(default_factory=list)  # by them, from this program
    sold: list[Arrival] = field(default_factory=list)  # by them, to this program
    gave_back: list[HandOver] = field(default_factory=list)
    lent: list[LoanAgreement] = field(default_factory=list)  # in either direction
    paid: dict[str, Decimal] = field(default_factory=lambda: defaultdict(Decimal))
    received: dict[str, Decimal] = field(default_factory=lambda: defaultdict(Decimal))
    deposits: dict[str, Decimal] = field(default_factory=lambda: defaultdict(Decimal))

    @property
    def owed(self) -> list[LoanAgreement]:
        return [one for one in self.lent if one.young_owed]

    @property
    def sums(self) -> list[tuple[str, list[tuple[str, Decimal]]]]:
        """What was paid, by currency; nothing where nothing was."""
        parts = (
            (tell("paid for animals"), self.paid),
            (tell("deposits paid"), self.deposits),
            (tell("received for animals"), self.received),
        )
        return [(words, sorted(sums.items())) for words, sums in parts if sums]


def years_of(contact: Contact) -> list[Year]:
    """The latest first; six queries."""
    found: dict[int, Year] = {}

    def of(day: datetime.date) -> Year:
        return found.setdefault(day.year, Year(day.year))

    gone = HandOver.objects.filter(contact=contact, withdrawn_at__isnull=True)
    for one in gone.select_related("animal").order_by("on", "pk"):
        of(one.on).bought.append(one)
        if one.price is not None:
            of(one.on).paid[one.currency] += one.price
        if one.came_back_on is not None:
            of(one.came_back_on).gave_back.append(one)
    came = Arrival.objects.filter(contact=contact).select_related("animal").order_by("on", "pk")
    for arrival in came:
        of(arrival.on).sold.append(arrival)
        if arrival.price is not None:
            of(arrival.on).received[arrival.currency] += arrival.price
    for loan in with_young(LoanAgreement.objects.filter(contact=contact).select_related("animal")):
        of(loan.since).lent.append(loan)
    kept = contact.reservations.filter(deposit_paid_on__isnull=False, withdrawn_at__isnull=True)
    for day, amount, currency in kept.values_list("deposit_paid_on", "deposit", "deposit_currency"):
        if day is not None:
            of(day).deposits[currency] += amount or 0
    return sorted(found.values(), key=lambda one: -one.year)
