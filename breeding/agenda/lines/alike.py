"""The lines of pictures that look like another animal than the one they are filed with."""

from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.identity.alike import alike_on_record


def alike_lines(gathered: Gathered) -> Iterator[Line]:
    """One for each such picture, a few at once."""
    for one in alike_on_record():
        yield write_line(
            KINDS["looks_like"],
            mark=f"{one.pattern.pk}:{one.other.pk}",
            on=one.photograph.taken_on or gathered.today,
            today=gathered.today,
            who=one.animal.name,
            why=one.words,
            animal=one.animal,
            page_of=one.pattern.pk,
            facts={
                "other": one.other.name,
                "pattern_id": one.pattern.pk,
                "one_id": one.animal.pk,
                "other_id": one.other.pk,
            },
        )
