"""The lines about loans: one that is due back, here or with its owner."""

from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.animals.models import Animal
from breeding.arrivals.queries import open_loans
from breeding.words.days import plain_day
from breeding.words.numbers import counted


def loan_lines(gathered: Gathered) -> Iterator[Line]:
    """Loans with a day on which they end, in both directions: one query."""
    loans = open_loans().filter(due_back_on__isnull=False)
    for one in loans.filter(animal__state__in=(Animal.State.HERE, Animal.State.ON_LOAN)):
        if one.due_back_on is None:
            continue
        owed = f" Young still owed: {counted(one.young_left, 'pup')}." if one.young_left else ""
        yield write_line(
            KINDS["loan_due_back" if one.is_out else "loan_due_out"],
            mark=f"{one.pk}:{one.due_back_on}",
            series_mark=str(one.pk),
            on=one.due_back_on,
            today=gathered.today,
            who=one.animal.name,
            why=f"{one.get_direction_display().capitalize()} since {plain_day(one.since)}, until "
            f"{plain_day(one.due_back_on)}.{owed}",
            animal=one.animal,
            facts={
                "buyer": one.contact.name if one.contact else "its owner",
                "animal_id": one.animal_id,
                "loan_id": one.pk,
            },
        )
