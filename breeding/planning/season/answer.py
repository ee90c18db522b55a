"""The plan in the words a keeper asks for: whom now and why, whom later, and whom never."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from breeding.planning.season.plan import SeasonPlan
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.row import PlannedRow
from breeding.words.kin import closeness

NOW_DAYS = 30  # what can begin within so many days is for now
NEVER_SHOWN = 3


@dataclass(frozen=True)
class Never:
    """Two of whom young would be too close."""

    female: Candidate
    male: Candidate
    inbreeding: float
    closeness: str


@dataclass(frozen=True)
class Answer:
    """Rows in the order in which they are worth making. first: she may be pregnant, which is to be
    settled before anything else. more_never: pairs that are not named."""

    now: tuple[PlannedRow, ...]
    first: tuple[PlannedRow, ...]
    later: tuple[PlannedRow, ...]
    never: tuple[Never, ...]
    more_never: int


def answer_of(
    plan: SeasonPlan,
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    *,
    today: datetime.date,
    threshold: float,
) -> Answer:
    """threshold: from which F on a pair is never made."""
    soon = today + datetime.timedelta(days=NOW_DAYS)
    table = plan.on_record
    is_close = (table > 0) & (table >= threshold)
    places = [{one.animal.pk: at for at, one in enumerate(some)} for some in (females, males)]
    for made in plan.rows:
        is_close[places[0][made.female.animal.pk], places[1][made.male.animal.pk]] = False
    rows, columns = is_close.nonzero()
    closest = np.argsort(-table[rows, columns], kind="stable")[:NEVER_SHOWN].tolist()
    never = [
        Never(
            females[rows[one]],
            males[columns[one]],
            inbreeding := float(table[rows[one], columns[one]]),
            closeness(inbreeding),
        )
        for one in closest
    ]
    settled = [row for row in plan.rows if not row.female.to_settle]
    later = [row for row in settled if row.not_before > soon]
    return Answer(
        tuple(row for row in settled if row.not_before <= soon),
        tuple(row for row in plan.rows if row.female.to_settle),
        tuple(sorted(later, key=lambda row: row.not_before)),
        tuple(never),
        len(rows) - len(never),
    )
