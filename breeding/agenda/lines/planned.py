"""The lines of planned pairings whose day is near or has come."""

from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.pairings.queries import HERE
from breeding.planning.models import PlannedPairing
from breeding.words.days import plain_day
from breeding.words.language import tell
from breeding.words.numbers import percent


def planned_lines(gathered: Gathered) -> Iterator[Line]:
    """Planned pairings that wait for their day."""
    for one in gathered.planned:
        if one.female.state not in HERE or one.male.state not in HERE:
            continue
        yield write_line(
            KINDS["planned"],
            mark=str(one.pk),
            on=one.not_before,
            today=gathered.today,
            who=one.female.name,
            why=" ".join(part for part in _said(one) if part),
            animal=one.female,
            facts={
                "male": one.male.name,
                "female_id": one.female_id,
                "male_id": one.male_id,
                "planned_id": one.pk,
            },
        )


def _said(one: PlannedPairing) -> Iterator[str]:
    yield tell(
        "Planned: they can be together from {day}, expected F {inbreeding}.",
        day=plain_day(one.not_before),
        inbreeding=percent(one.inbreeding_expected),
    )
    yield one.note
    yield tell("Look at both animals first.")
