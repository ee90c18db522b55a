"""The doubts about new animals, one or many, before any of them is on record."""

from collections.abc import Iterable, Iterator

from breeding.animals.bulk import NewAnimal, unsaved
from breeding.animals.doubts.measured import doubts_of_size
from breeding.animals.doubts.sizes import Size, Sizes
from breeding.program.models import Program
from breeding.program.problems.doubts import Doubt


def doubts_of_rows(rows: Iterable[NewAnimal], program: Program) -> Iterator[tuple[int, Doubt]]:
    """What each row is asked about, by its key; no query."""
    for row in rows:
        if row.measurement:
            facts = row.measurement
            new = Size(facts["on"], facts.get("disc_width_mm"), facts.get("weight_g"))
            for doubt in doubts_of_size(unsaved(row), new, Sizes(), program):
                sentence = f"{row.name}: " + doubt.sentence
                yield row.key, Doubt(sentence, _MEANINGS.get(doubt.field, doubt.field))


_MEANINGS = {"on": "measured_on", "disc_width_mm": "disc_width", "weight_g": "weight"}
