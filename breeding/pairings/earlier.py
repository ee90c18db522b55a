"""Pairings that are over, written down late: one row or many."""

import datetime
from collections import defaultdict
from collections.abc import Iterator, Sequence

from django.db import transaction

from breeding.animals import lineage
from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.pairings.allowed import check_pairing, check_parting
from breeding.pairings.models import Pairing
from breeding.program.acts.together import write_together
from breeding.program.models import Program
from breeding.program.problems import constraints
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging_in_turn,
    read_of,
    written_of,
)


@transaction.atomic
def record_earlier_pairings(
    rows: Sequence[Pairing], *, program: Program, today: datetime.date
) -> list[Judged[Pairing]]:
    """Write down all that may be, with both days each.

    Nobody is moved: nothing is known of where they went. Rows get the F expected of their young.
    """
    judged = _judged(rows, program, today)
    with constraints.named():
        write_together(written_of(judged))
    return judged


def _judged(
    rows: Sequence[Pairing], program: Program, today: datetime.date
) -> list[Judged[Pairing]]:
    """Each beside the pairings on record of the two and the rows before it: a few queries."""
    keys = [key for row in rows for key in (row.female_id, row.male_id)]
    animals = {one.pk: one for one in read_of(Animal.every.all(), "pk", keys)}
    known = lineage.current()
    kinship = _kinship_of(rows, known)
    together: dict[tuple[int, int], list[Pairing]] = defaultdict(list)
    counting = Pairing.objects.filter(withdrawn_at__isnull=True)
    for other in read_of(counting, "female", (row.female_id for row in rows)):
        together[other.female_id, other.male_id].append(other)

    def judge(row: Pairing) -> Iterator[Doubt]:
        row.female, row.male = animals[row.female_id], animals[row.male_id]
        others, until = together[row.female_id, row.male_id], row.separated_on
        check_pairing(
            row,
            others,
            known=known,
            kinship=lambda male, female: kinship[male, female],
            program=program,
            today=today,
            until=until,
        )
        clean_of_its_own(row)
        if until is not None:
            check_parting(row, until, today)
        yield from ()

    def count(row: Pairing) -> None:
        """As a question of the database has them: the one introduced last comes first."""
        mine = together[row.female_id, row.male_id]
        mine.insert(0, row)
        mine.sort(key=lambda one: one.introduced_on, reverse=True)

    return judging_in_turn(rows, judge, count)


def _kinship_of(rows: Sequence[Pairing], known: Lineage) -> dict[tuple[int, int], float]:
    """Of male and female of each of these, as far as both are in the lineage."""
    pedigree = known.pedigree
    every = dict.fromkeys((row.male_id, row.female_id) for row in rows)
    pairs = [(male, female) for male, female in every if male in pedigree and female in pedigree]
    return dict(zip(pairs, pedigree.kinships(pairs).tolist(), strict=True))
