"""The line of animals that are in no tank on record, as after a table was brought in."""

from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.animals.around import everybody_around
from breeding.housing.stays.lately import where_everybody_is
from breeding.words.language import tell, tell_many
from breeding.words.numbers import some

FEWEST = 5  # fewer are placed one by one, and who uses no tanks is not asked
_NAMED = 6


def placing_lines(gathered: Gathered) -> Iterator[Line]:
    """One line for all who are here and in no tank; another one comes when more do."""
    inside = where_everybody_is(gathered.today)
    outside = (one for one in everybody_around() if one.is_here and one.pk not in inside)
    found = sorted(outside, key=lambda one: one.code)
    if len(found) < FEWEST:
        return
    newest = max(one.pk for one in found)
    yield write_line(
        KINDS["in_no_tank"],
        mark=f"{newest}",
        on=gathered.today,
        today=gathered.today,
        who=tell_many("{number} animal", "{number} animals", len(found)),
        why=tell(
            "Who keeps company, who shares water and whose kin is near follows from the tanks. In "
            "none on record: {animals}.",
            animals=some([one.name for one in found], _NAMED),
        ),
        animal=found[0],
        facts={},
    )
