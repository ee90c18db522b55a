"""The rows of a table with every cell read; what cannot be read is kept as a problem by line."""

import datetime
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, TypeVar

from django.core.exceptions import ValidationError

from breeding.animals.models import Animal, Species, Strain
from breeding.animals.typed.chips import plain_chip
from breeding.animals.typed.fields import Birth
from breeding.program.models import Program
from breeding.records.incoming import cells
from breeding.records.incoming.answers import AskedRow
from breeding.records.incoming.delimited import Table
from breeding.records.incoming.meanings import BY_KEY, MEANINGS, TEXTS, within
from breeding.records.incoming.problems import Problem, shown
from breeding.records.incoming.reader import Reader
from breeding.records.models import ImportDraft
from breeding.words.language import tell
from breeding.words.numbers import joined

T = TypeVar("T")
_NOT_DEAD = ("no", "n", "false", *cells.STATES[Animal.State.HERE])


@dataclass
class TypedRow:
    """One row, read. `typed` holds what counts as typed, by meaning, `stood` what stood there."""

    line: int
    typed: Mapping[str, str]
    code: str = ""
    facts: dict[str, Any] = field(default_factory=dict)
    species_shares: dict[Species, Fraction] = field(default_factory=dict)
    measurement: dict[str, Any] | None = None
    sex_from_use: str = ""
    stood: Mapping[str, str] = field(default_factory=dict)
    is_added: bool = False  # no row of the table: a parent it names

    @property
    def own_code(self) -> str:
        """The code as the table has it, by which its other rows name this one."""
        return " ".join(self.typed.get("code", "").split())


class RowReader(Reader):
    """Reads rows one after the other; `problems` grows, `new_strains` are those not on record."""

    def __init__(
        self, table: Table, draft: ImportDraft, *, program: Program, today: datetime.date
    ) -> None:
        super().__init__(table, draft, MEANINGS, note="note", program=program, today=today)
        self._species = _species_by_word()
        self._strains = {cells.plain(strain.name): strain for strain in Strain.objects.all()}
        self.new_strains: dict[str, Strain] = {}

    def read(self) -> list[TypedRow]:
        return [self._row(row) for row in (*self.rows, *self._added())]

    def _added(self) -> Iterator[AskedRow]:
        """Rows for parents that the table names and does not hold, where that was answered."""
        line = max((row.line for row in self.table.rows), default=0)
        for name in self.answered.new("sire", "dam"):
            line += 1
            is_code = "code" in self.columns and re.search(r"\d", name)
            typed = {
                "code" if is_code else "call_name": name,
                "state": cells.STATES[Animal.State.LEFT][0],
            }
            yield AskedRow(line, typed, typed, 0, is_added=True)

    def _row(self, row: AskedRow) -> TypedRow:
        typed = row.typed
        self.check_width(row)
        read = TypedRow(row.line, typed, stood=row.stood, is_added=row.is_added)
        if read.own_code:
            read.code = f"{self.draft.put_before_codes}{read.own_code}"
        facts = read.facts
        facts["call_name"] = " ".join(typed.get("call_name", "").split())
        facts.update({name: typed.get(name, "") for name in TEXTS})
        facts["country"] = " ".join(facts["country"].split())
        facts["chip"] = plain_chip(typed.get("chip", ""))
        facts["sex"] = self._word(row, "sex", cells.SEXES, Animal.Sex.UNKNOWN)
        facts["origin"] = self._word(row, "origin", cells.ORIGINS, Animal.Origin.UNKNOWN)
        birth = self._date(row, "born", cells.read_date) or Birth()
        facts["born_on"], facts["born_precision"] = birth.on, birth.precision
        self._state(row, facts)
        if strain := self._strain(typed.get("strain", "")):
            facts["strain"] = strain
        read.species_shares = self.try_cell(row, "species", self._shares) or {}
        read.measurement = self._measurement(row)
        return read

    def _word(
        self, row: AskedRow, meaning: str, words: Mapping[Any, tuple[str, ...]], usual: str
    ) -> str:
        label = within(BY_KEY[meaning].label)
        found = self.try_cell(row, meaning, lambda text: cells.read_word(text, words, what=label))
        return found or usual

    def _date(self, row: AskedRow, meaning: str, reading: Callable[..., T]) -> T | None:
        text = self.cell(row, meaning)
        if self.order is None and cells.numbers_of_date(text):
            return None  # its order is asked for, once for the whole table
        order = self.order or cells.DAY_FIRST
        return self.try_cell(row, meaning, lambda text: reading(text, order, today=self.today))

    def _state(self, row: AskedRow, facts: dict[str, Any]) -> None:
        stated = self.cell(row, "state")
        facts["state"] = self._word(row, "state", cells.STATES, self.draft.usual_state)
        since = self._date(row, "state_on", cells.read_full_date)
        died = self._date(row, "died_on", cells.read_full_date)
        if died is not None:
            if stated and facts["state"] != Animal.State.DIED:
                self.problems.append(
                    Problem(
                        (row.line,),
                        "died_on",
                        tell(
                            "{typed} is a day of death, but the state of the animal is {state}; "
                            "correct one of the two.",
                            typed=shown(self.cell(row, "died_on")),
                            state=shown(stated),
                        ),
                    )
                )
            facts["state"], since = Animal.State.DIED, died
        elif not stated and _tells_of_death(row):
            facts["state"] = Animal.State.DIED
        elif since is not None and not stated:
            self.problems.append(
                Problem(
                    (row.line,),
                    "state_on",
                    tell(
                        "{typed} says since when, but the row has no state; write here, on loan, "
                        "left or died.",
                        typed=shown(self.cell(row, "state_on")),
                    ),
                )
            )
        facts["state_on"] = since

    def _strain(self, typed: str) -> Strain | None:
        name = " ".join(typed.split())
        if cells.plain(name) in cells.NOBODY:
            return None
        key = cells.plain(name)
        if key in self._strains:
            return self._strains[key]
        return self.new_strains.setdefault(key, Strain(name=name))

    def _shares(self, typed: str) -> dict[Species, Fraction]:
        if cells.plain(typed) in cells.NOBODY:
            return {}
        parts: Sequence[tuple[str, Fraction | None]] = [(typed, Fraction(1))]
        if "|" in typed or ":" in typed:
            parts = cells.read_shared(typed)
        shares: dict[Species, Fraction] = {}
        for word, share in cells.filled_shares(list(parts)):
            species = self._one_species(word)
            if species in shares:
                raise ValidationError(
                    tell("{typed} is given twice; give each species once.", typed=shown(word))
                )
            shares[species] = share
        return shares

    def _one_species(self, word: str) -> Species:
        found = self._species.get(cells.plain(word), [])
        if len(found) == 1:
            return found[0]
        if found:
            names = joined([species.accepted_name for species in found], "or")
            raise ValidationError(
                tell(
                    "{typed} can be {names}; write the accepted name.",
                    typed=shown(word),
                    names=names,
                )
            )
        known = sorted({one.accepted_name for species in self._species.values() for one in species})
        names = joined(known[:12], "or")
        if len(known) > 12:
            names = tell("{names}, or one of {number} more", names=names, number=len(known) - 12)
        raise ValidationError(
            tell(
                "{typed} is not a species on record; write {names}, or its trade name.",
                typed=shown(word),
                names=names,
            )
        )

    def _measurement(self, row: AskedRow) -> dict[str, Any] | None:
        width = self.try_cell(
            row,
            "disc_width",
            lambda text: cells.read_length(text, self.units.get("disc_width", "cm")),
        )
        grams = self.try_cell(
            row, "weight", lambda text: cells.read_weight(text, self.units.get("weight", "g"))
        )
        on = self._date(row, "measured_on", cells.read_full_date) or self.draft.measured_on
        if width is None and grams is None:
            return None
        return {"on": on, "disc_width_mm": width, "weight_g": grams}


def _tells_of_death(row: AskedRow) -> bool:
    """Whether something stood where the day of death stands, though it is no day."""
    stood = cells.plain(row.stood.get("died_on", ""))
    return stood not in cells.NOBODY and not row.typed.get("died_on") and stood not in _NOT_DEAD


def _species_by_word() -> dict[str, list[Species]]:
    """Every word for a species: accepted, short and trade name, and its key."""
    found: dict[str, list[Species]] = {}
    for species in Species.objects.all():
        words = {species.accepted_name, species.short_name, species.trade_name, species.key}
        for word in {cells.plain(word) for word in words if word}:
            found.setdefault(word, []).append(species)
    return found
