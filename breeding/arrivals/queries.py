"""Questions about arrivals and loans that gather several rows for a page; they write nothing."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from itertools import combinations

from django.db.models import Q, QuerySet

from breeding.animals.models import Animal, AssumedKin
from breeding.arrivals.loans.young import with_young
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.words.language import message, tell

OUT, IN = LoanAgreement.Direction.OUT, LoanAgreement.Direction.IN
NOT_YOURS = message("it belongs to somebody else and is here on loan")


@dataclass(frozen=True)
class Came:
    """How an animal came, with whom, and what these are held to be to each other."""

    arrivals: list[Arrival]
    company: list[Animal]
    held: list[AssumedKin]
    loans: list[LoanAgreement]

    @property
    def open_loan(self) -> LoanAgreement | None:
        return next((one for one in self.loans if one.is_open), None)

    @property
    def last(self) -> Arrival | None:
        return next((one for one in self.arrivals if not one.is_withdrawn), None)


def how_it_came(animal: Animal) -> Came:
    """Six queries."""
    arrivals = list(Arrival.every.filter(animal=animal).select_related("contact", "withdrawn_by"))
    last = next((one for one in arrivals if not one.is_withdrawn), None)
    held = AssumedKin.objects.filter(Q(one=animal) | Q(other=animal))
    return Came(
        arrivals,
        [one for one in came_with(last) if one.pk != animal.pk] if last else [],
        list(held.select_related("one", "other").order_by("pk")),
        with_young(
            LoanAgreement.every.filter(animal=animal).select_related("contact", "withdrawn_by")
        ),
    )


def came_with(arrival: Arrival) -> list[Animal]:
    """Everybody who came from that seller on that day, itself included; alone without a seller."""
    rows = Animal.objects.filter(arrivals__withdrawn_at__isnull=True, arrivals__on=arrival.on)
    if arrival.contact_id is None:
        return [arrival.animal]
    return list(rows.filter(arrivals__contact=arrival.contact_id).distinct().order_by("pk"))


def pairs_to_ask(animals: Iterable[Animal]) -> list[tuple[Animal, Animal]]:
    """Pairs of those of whom no parent is known: of others kin follows from their parents."""
    known = {one.pk: one for one in animals if one.sire_id is None and one.dam_id is None}
    possible = Animal.objects.filter(pk__in=known, possible_sires__isnull=False)
    for key in possible.values_list("pk", flat=True):
        known.pop(key, None)
    return list(combinations([known[key] for key in sorted(known)], 2))


def held_among(animals: Collection[Animal]) -> dict[frozenset[int], AssumedKin]:
    """What is held of pairs of these."""
    keys = [one.pk for one in animals]
    rows = AssumedKin.objects.filter(one__in=keys, other__in=keys).select_related("one", "other")
    return {frozenset((row.one_id, row.other_id)): row for row in rows}


def those_together() -> Iterable[Collection[int]]:
    """Founders that came from one seller on one day, in groups: one query."""
    groups: dict[tuple[object, object], set[int]] = {}
    for on, contact, animal in _founders_from_sellers():
        groups.setdefault((on, contact), set()).add(animal)
    return [group for group in groups.values() if len(group) > 1]


def those_of_one_seller() -> Iterable[Collection[int]]:
    """The same on any day, those that came alone too: one query."""
    groups: dict[object, set[int]] = {}
    for _on, contact, animal in _founders_from_sellers():
        groups.setdefault(contact, set()).add(animal)
    return groups.values()


def _founders_from_sellers() -> Iterable[tuple[object, object, int]]:
    rows = Arrival.objects.filter(
        contact__isnull=False,
        animal__withdrawn_at__isnull=True,
        animal__sire__isnull=True,
        animal__dam__isnull=True,
    )
    return rows.values_list("on", "contact_id", "animal_id")


def lent_by_others(animals: Collection[int]) -> dict[int, str]:
    """Those of these that belong to somebody else: one query."""
    rows = LoanAgreement.objects.filter(animal__in=animals, direction=IN, back_on__isnull=True)
    return dict.fromkeys(rows.values_list("animal_id", flat=True), tell(NOT_YOURS))


def open_loans() -> "QuerySet[LoanAgreement]":
    """Every loan that is not over, in both directions, what is due first coming first."""
    rows = LoanAgreement.objects.filter(back_on__isnull=True)
    return rows.select_related("animal", "animal__portrait", "contact").order_by(
        "due_back_on", "since", "pk"
    )
