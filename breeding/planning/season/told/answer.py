"""The plan in the words a keeper asks for: whom now and why, whom later, and whom never."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from breeding.planning.season.plan import SeasonPlan
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.row import PlannedRow
from breeding.planning.season.told.begin import Kind
from breeding.words.descent.kin import closeness

NEVER_SHOWN = 3
MOST_ALIKE = 12  # so many are named where all have the highest F there is


@dataclass(frozen=True)
class Never:
    """Two of whom young would be too close."""

    female: Candidate
    male: Candidate
    inbreeding: float
    closeness: str


@dataclass(frozen=True)
class Answer:
    """Rows in the order in which they are worth making. now: what can be done today. first: she
    may be pregnant, which is to be settled before anything else. later: from a day that can be
    told. open: nobody knows from when. more_never: pairs that are not named."""

    now: tuple[PlannedRow, ...]
    first: tuple[PlannedRow, ...]
    later: tuple[PlannedRow, ...]
    open: tuple[PlannedRow, ...]
    never: tuple[Never, ...]
    more_never: int


def answer_of(
    plan: SeasonPlan,
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    *,
    threshold: float,
) -> Answer:
    """threshold: from which F on a pair is never made."""
    table = plan.on_record
    is_close = (table > 0) & (table >= threshold)
    places = [{one.animal.pk: at for at, one in enumerate(some)} for some in (females, males)]
    for made in plan.rows:
        is_close[places[0][made.female.animal.pk], places[1][made.male.animal.pk]] = False
    rows, columns = is_close.nonzero()
    highest = table[rows, columns]
    at_most = max(NEVER_SHOWN, min(int((highest == highest.max(initial=0)).sum()), MOST_ALIKE))
    closest = np.argsort(-highest, kind="stable")[:at_most].tolist()
    never = [
        Never(
            females[rows[one]],
            males[columns[one]],
            inbreeding := float(table[rows[one], columns[one]]),
            closeness(inbreeding),
        )
        for one in closest
    ]
    now, first, later, left = (
        tuple(row for row in plan.rows if row.begin.kind is kind) for kind in Kind
    )
    return Answer(now, first, later, left, tuple(never), len(rows) - len(never))
