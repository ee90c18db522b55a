"""The plan in the words a keeper asks for: whom now and why, whom later, and whom never."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

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
    close = [
        (float(table[row, column]), row, column)
        for row in range(len(females))
        for column in range(len(males))
        if table[row, column] > 0 and table[row, column] >= threshold
    ]
    close.sort(key=lambda one: (-one[0], one[1], one[2]))
    planned = {(row.female.animal.pk, row.male.animal.pk) for row in plan.rows}
    never = [
        Never(females[row], males[column], inbreeding, closeness(inbreeding))
        for inbreeding, row, column in close
        if (females[row].animal.pk, males[column].animal.pk) not in planned
    ]
    settled = [row for row in plan.rows if not row.female.to_settle]
    later = [row for row in settled if row.not_before > soon]
    return Answer(
        tuple(row for row in settled if row.not_before <= soon),
        tuple(row for row in plan.rows if row.female.to_settle),
        tuple(sorted(later, key=lambda row: row.not_before)),
        tuple(never[:NEVER_SHOWN]),
        max(0, len(never) - NEVER_SHOWN),
    )
