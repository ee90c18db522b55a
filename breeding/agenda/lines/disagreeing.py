"""The lines of records that disagree: tanks and pairings that say different things."""

from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds import KINDS
from breeding.agenda.lines.line import Act, Line, write_line
from breeding.pairings.season.disagreements import disagreements
from breeding.words.numbers import joined

KIND_OF = {
    "apart": KINDS["company_apart"],
    "ended": KINDS["company_ended"],
    "unrecorded": KINDS["company_unrecorded"],
}


def disagreement_lines(gathered: Gathered) -> Iterator[Line]:
    """Where tanks and pairings say different things of who is together."""
    for one in disagreements(gathered.program, asof=gathered.today):
        yield write_line(
            KIND_OF[one.kind],
            mark=one.key,
            on=one.since,
            today=gathered.today,
            who=one.female.name,
            why=one.words,
            animal=one.female,
            facts={"males": joined([male.name for male in one.males])},
            acts=[Act(*way) for way in one.ways],
        )
