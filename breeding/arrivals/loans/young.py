"""The young that are owed for a loan: which are given for it, which are meant to be, what is left.

One that is owed to the owner counts once it went to them, and as long as it did not come back: a
row only says for which loan it is meant. One that is owed to this program counts when it is named.
"""

import datetime
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.arrivals.models import LoanAgreement, YoungGiven
from breeding.buyers.models import Contact, HandOver
from breeding.program.generics import ModelChoiceField
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.services import bring_back, withdraw
from breeding.words.language import message, tell
from breeding.words.stored import stored

OUT, IN = LoanAgreement.Direction.OUT, LoanAgreement.Direction.IN
UNTICKED = stored(message("It was not given for this loan."))
FIELD = "for_loan"
_MOST_OFFERED = 40


@dataclass
class Young:
    """What is owed for one loan and what of it was given: named, and others that nobody named."""

    owed: int
    others: int
    named: list[YoungGiven] = field(default_factory=list)
    promised: list[YoungGiven] = field(default_factory=list)

    @property
    def given(self) -> int:
        return len(self.named) + self.others

    @property
    def left(self) -> int:
        return max(0, self.owed - self.given)


def with_young(agreements: Iterable[LoanAgreement]) -> list[LoanAgreement]:
    """The same loans, each with its `young`: two queries."""
    found = {one.pk: one for one in agreements}
    for one in found.values():
        one.young = Young(one.young_owed or 0, one.young_given)
    rows = list(
        YoungGiven.objects.filter(agreement__in=list(found))
        .select_related("animal")
        .order_by("on", "pk")
    )
    went = _went([row.animal_id for row in rows])
    for row in rows:
        loan = found[row.agreement_id]
        counts = loan.is_out or (row.animal_id, loan.contact_id) in went
        (loan.young.named if counts else loan.young.promised).append(row)
    return list(found.values())


def young_of(agreement: LoanAgreement) -> Young:
    """Of one loan."""
    (one,) = with_young([agreement])
    found: Young = one.young
    return found


def _went(animals: Collection[int]) -> set[tuple[int, int | None]]:
    """Who went to whom, and did not come back."""
    if not animals:
        return set()
    gone = HandOver.objects.filter(
        animal__in=animals, withdrawn_at__isnull=True, came_back_on__isnull=True
    )
    return set(gone.values_list("animal_id", "contact_id"))


def may_be_given(agreement: LoanAgreement) -> QuerySet[Animal]:
    """Whom to offer: what went to them or is kept for them since, or came from them; and those
    that are named already."""
    named = Q(loans_given_for__agreement=agreement, loans_given_for__withdrawn_at__isnull=True)
    if agreement.is_out:
        came = Q(
            arrivals__contact=agreement.contact_id,
            arrivals__on__gte=agreement.since,
            arrivals__withdrawn_at__isnull=True,
        )
        found = Animal.objects.filter(named | came)
    else:
        gone = Q(
            hand_overs__contact=agreement.contact_id,
            hand_overs__on__gte=agreement.since,
            hand_overs__withdrawn_at__isnull=True,
        )
        kept = Q(
            reservations__contact=agreement.contact_id,
            reservations__fulfilled_on__isnull=True,
            reservations__withdrawn_at__isnull=True,
        )
        found = Animal.objects.filter(named | gone | kept)
    keys = found.exclude(pk=agreement.animal_id).values_list("pk", flat=True).distinct()
    return Animal.objects.filter(pk__in=list(keys[:_MOST_OFFERED])).order_by("call_name", "code")


def loans_owing(animal: Animal) -> QuerySet[LoanAgreement]:
    """Loans for which this one can be given: young are owed to the owner of a parent of it."""
    parents = [animal.sire_id, animal.dam_id]
    parents += list(animal.possible_sires.values_list("sire_id", flat=True))
    named = Q(pk__in=YoungGiven.objects.filter(animal=animal).values("agreement"))
    owing = Q(
        direction=IN, young_owed__gt=F("young_given"), animal__in=[one for one in parents if one]
    )
    return LoanAgreement.objects.filter(owing | named).select_related("animal", "contact")


# ------------------------------------------------------------------------------------------ acts


@transaction.atomic
def name_young(
    agreement: LoanAgreement,
    animals: Collection[Animal],
    *,
    young_given: int,
    by: Person | None,
    now: datetime.datetime,
) -> LoanAgreement:
    """Say which young are given for a loan, and how many besides; who is left out is not."""
    agreement.young_given = young_given
    agreement.full_clean(validate_unique=False, validate_constraints=False)
    agreement.save()
    wanted = {one.pk for one in animals}
    for row in YoungGiven.objects.filter(agreement=agreement):
        if row.animal_id in wanted:
            wanted.discard(row.animal_id)
        else:
            withdraw(row, by=by, now=now, reason=UNTICKED)
    for one in animals:
        if one.pk in wanted:
            _add(agreement, one, by=by, on=timezone.localdate(now))
    return agreement


@transaction.atomic
def bring_back_given(row: YoungGiven) -> None:
    """It counts again. Raises ValidationError where it is given for another loan meanwhile."""
    with constraints.named(row):
        bring_back(row)


def _add(agreement: LoanAgreement, animal: Animal, *, by: Person | None, on: datetime.date) -> None:
    other = YoungGiven.objects.filter(animal=animal).select_related("agreement__animal").first()
    if other is not None:
        raise ValidationError(
            tell(
                "{animal} is given for the loan of {lent} already; take it out there first.",
                animal=animal.full_name,
                lent=other.agreement.animal.name,
            )
        )
    row = YoungGiven(agreement=agreement, animal=animal, on=on, recorded_by=by)
    row.full_clean(validate_unique=False, validate_constraints=False)
    with constraints.named(row):
        row.save()


# ------------------------------------------------------ asked at a hand-over and at a reservation


def fields_of(animal: Animal) -> dict[str, forms.Field]:
    """For which loan a young one of a lent animal is given; nothing where none is owed."""
    owing = loans_owing(animal)
    if not owing:
        return {}
    kept = YoungGiven.objects.filter(animal=animal).first()
    return {
        FIELD: LoanChoice(
            owing,
            required=False,
            label=tell("Given for a loan"),
            empty_label=tell("for none"),
            initial=kept.agreement_id if kept else None,
            help_text=tell("It counts as given once it is with the owner."),
        )
    }


class LoanChoice(ModelChoiceField):
    """A loan by the animal that is lent, whose it is, and what is still owed."""

    def label_from_instance(self, obj: Any) -> str:
        young = young_of(obj)
        return tell(
            "the loan of {animal} by {contact}, {left} of {owed} owed",
            animal=obj.animal.name,
            contact=obj.contact,
            left=young.left,
            owed=young.owed,
        )


@transaction.atomic
def give_with(
    animal: Animal,
    contact: Contact,
    facts: dict[str, Any],
    *,
    by: Person | None,
    now: datetime.datetime,
) -> None:
    """What the form says of it, beside who takes it. Raises ValidationError at the field."""
    if FIELD not in facts:
        return
    agreement: LoanAgreement | None = facts[FIELD]
    if agreement is not None and agreement.contact_id != contact.pk:
        raise ValidationError(
            {
                FIELD: tell(
                    "Young for {animal} are owed to {contact}, and this one goes to {buyer}.",
                    animal=agreement.animal.name,
                    contact=agreement.contact,
                    buyer=contact,
                )
            }
        )
    kept = YoungGiven.objects.filter(animal=animal).first()
    if kept is not None and kept.agreement_id != getattr(agreement, "pk", None):
        withdraw(kept, by=by, now=now, reason=UNTICKED)
        kept = None
    if agreement is not None and kept is None:
        _add(agreement, animal, by=by, on=timezone.localdate(now))
