"""The lines about loans: one that is due back, here or with its owner."""

import datetime
from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.animals.models import Animal
from breeding.arrivals.loans.young import with_young
from breeding.arrivals.models import LoanAgreement
from breeding.arrivals.queries import open_loans
from breeding.words.days import plain_day
from breeding.words.language import tell, tell_many


def loan_lines(gathered: Gathered) -> Iterator[Line]:
    """Loans with a day on which they end, in both directions: three queries."""
    loans = open_loans().filter(due_back_on__isnull=False)
    standing = loans.filter(animal__state__in=(Animal.State.HERE, Animal.State.ON_LOAN))
    for one in with_young(standing):
        if one.due_back_on is None:
            continue
        yield write_line(
            KINDS["loan_due_back" if one.is_out else "loan_due_out"],
            mark=f"{one.pk}:{one.due_back_on}",
            series_mark=str(one.pk),
            on=one.due_back_on,
            today=gathered.today,
            who=one.animal.name,
            why=_why(one, one.due_back_on),
            animal=one.animal,
            facts={
                "buyer": one.contact.name if one.contact else tell("its owner"),
                "animal_id": one.animal_id,
                "loan_id": one.pk,
            },
        )


def _why(one: LoanAgreement, due_back_on: datetime.date) -> str:
    span = {"since": plain_day(one.since), "until": plain_day(due_back_on)}
    said = [
        tell("Lent to somebody since {since}, until {until}.", **span)
        if one.is_out
        else tell("Lent by somebody since {since}, until {until}.", **span)
    ]
    if one.young.left:
        said.append(
            tell_many(
                "Young still owed: {number} pup.",
                "Young still owed: {number} pups.",
                one.young.left,
            )
        )
    return " ".join(said)
