"""Pairings that are over or go on, written down late and many at once."""

import datetime
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from django.db import transaction

from breeding.animals import lineage
from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.pairings.allowed import check_pairing, check_parting
from breeding.pairings.company.twos_in_turn import TwosInTurn
from breeding.pairings.models import Outcome, Pairing
from breeding.program.acts.together import write_together
from breeding.program.models import Program
from breeding.program.problems import constraints
from breeding.program.problems.doubts import Doubt, DoubtError
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging_in_turn,
    read_of,
    written_of,
)

Date = datetime.date


@transaction.atomic
def record_pairings(
    rows: Sequence[Pairing], *, program: Program, today: Date
) -> list[Judged[Pairing]]:
    """Write down all that may be. Nobody is moved: where they went is for their stays to say.

    Two that go on are asked about as when their pairing is opened; one that lacks the reason that
    is asked for is refused by DoubtError. Rows get the F expected of their young.
    """
    asked = _Asked(rows, program, today)
    found: list[Judged[Pairing]] = []
    for run in asked.runs(rows):
        judged = judging_in_turn(run, asked.judge, asked.count)
        with constraints.named():
            write_together(written_of(judged))
        found += judged
    return found


class _Asked:
    """What is known of the two of each row, and the pairings of these: a few queries."""

    def __init__(self, rows: Sequence[Pairing], program: Program, today: Date) -> None:
        self._program, self._today = program, today
        keys = [key for row in rows for key in (row.female_id, row.male_id)]
        self._animals = {one.pk: one for one in read_of(Animal.every.all(), "pk", keys)}
        self._known = lineage.current()
        self._kinship = _kinship_of(rows, self._known)
        self._together: dict[tuple[int, int], list[Pairing]] = defaultdict(list)
        counting = Pairing.objects.filter(withdrawn_at__isnull=True)
        for other in read_of(counting, "female", (row.female_id for row in rows)):
            self._together[other.female_id, other.male_id].append(other)
        for row in rows:
            row.female, row.male = self._animals[row.female_id], self._animals[row.male_id]
        going_on = [row for row in rows if row.separated_on is None]
        mine = {key for row in going_on for key in (row.female_id, row.male_id)}
        animals = {key: one for key, one in self._animals.items() if key in mine}
        self._twos = TwosInTurn(animals, program) if going_on else None
        self._ends = _ends_of({row.female_id for row in rows}) if going_on else {}

    def runs(self, rows: Sequence[Pairing]) -> Iterator[list[Pairing]]:
        """In their order; all of a run are written before the next one is judged.

        Of two that meet her season is read, which rests on all her pairings, and on what closed
        seasons teach: none of a run changes these before it is asked.
        """
        run = _Run([], set(), False)
        for row in rows:
            is_changed = run.teaches or row.female_id in run.females
            if is_changed and self._come_together(row):
                yield self._expected(run)
                run = _Run([], set(), False)
            run.rows.append(row)
            run.females.add(row.female_id)
            if row.introduced_on <= self._ends.get(row.female_id, Date.min):
                run = run._replace(teaches=True)
        if run.rows:
            yield self._expected(run)

    def _come_together(self, row: Pairing) -> bool:
        return self._twos is not None and row.separated_on is None and self._twos.come_together(row)

    def _expected(self, run: "_Run") -> list[Pairing]:
        if self._twos is not None:
            self._twos.expect([row for row in run.rows if self._come_together(row)])
        return run.rows

    def judge(self, row: Pairing) -> Iterator[Doubt]:
        check_pairing(
            row,
            self._together[row.female_id, row.male_id],
            known=self._known,
            kinship=lambda male, female: self._kinship[male, female],
            program=self._program,
            today=self._today,
            until=row.separated_on,
        )
        clean_of_its_own(row)
        if row.separated_on is not None:
            check_parting(row, row.separated_on, self._today)
        elif self._twos is not None:
            asked = [one for one in self._twos.doubts(row) if not one.is_only_said]
            yield from asked
            if not row.reason and any(one.needs_reason for one in asked):
                raise DoubtError(asked)

    def count(self, row: Pairing) -> None:
        """As a question of the database has them: the one introduced last comes first."""
        mine = self._together[row.female_id, row.male_id]
        mine.insert(0, row)
        mine.sort(key=lambda one: one.introduced_on, reverse=True)


class _Run(NamedTuple):
    """teaches: whether one of them began before a season of its female was closed."""

    rows: list[Pairing]
    females: set[int]
    teaches: bool


def _ends_of(females: set[int]) -> Mapping[int, Date]:
    """The day on which the last closed season of each ended, by the female."""
    found: dict[int, Date] = {}
    counting = Outcome.objects.filter(withdrawn_at__isnull=True)
    for one in read_of(counting, "female", females):
        found[one.female_id] = max(one.on, found.get(one.female_id, Date.min))
    return found


def _kinship_of(rows: Sequence[Pairing], known: Lineage) -> dict[tuple[int, int], float]:
    """Of male and female of each of these, as far as both are in the lineage."""
    pedigree = known.pedigree
    every = dict.fromkeys((row.male_id, row.female_id) for row in rows)
    pairs = [(male, female) for male, female in every if male in pedigree and female in pedigree]
    return dict(zip(pairs, pedigree.kinships(pairs).tolist(), strict=True))
