"""Published pedigrees that come with the program, to try the import with."""

import json
from dataclasses import dataclass
from functools import cache

from breeding.program.reference.fixture_files import fixture_path
from breeding.words.language import message, tell

# File under fixtures/published, what it is in words, and the animal whose F the source gives.
_OFFERED = (
    ("lynch_walsh_roan_gauntlet", message("Roan Gauntlet, a Shorthorn bull"), "Roan Gauntlet"),
    ("kvl_tabular_7", message("Seven animals for the tabular method"), "7"),
    ("mrode_ch2", message("Six animals, one of them inbred"), "5"),
    ("lynch_walsh_26_8", message("Five animals, one parent unknown"), "5"),
    ("full_sib_mating", message("Full siblings mated for twelve generations"), "12f"),
)


@dataclass(frozen=True)
class Example:
    """One published pedigree: its text, where it is from, and one F given there."""

    key: str
    named: str
    source: str
    animal: str
    inbreeding: str
    text: str

    @property
    def title(self) -> str:
        return tell(self.named)

    @property
    def file_name(self) -> str:
        return f"{self.key}.csv"


@cache
def examples() -> tuple[Example, ...]:
    """Every example, in the order in which they are offered; read once."""
    found = []
    for key, title, animal in _OFFERED:
        values = json.loads(fixture_path(f"published/{key}.json").read_text("utf-8"))
        text = fixture_path(f"published/{key}.csv").read_text("utf-8")
        source = values["source"].partition(" (recurrence")[0]
        found.append(Example(key, title, source, animal, values["F"][animal], text))
    return tuple(found)


def example(key: str) -> Example | None:
    return next((one for one in examples() if one.key == key), None)
