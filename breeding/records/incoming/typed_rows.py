"""The rows of a table with every cell read; what cannot be read is kept as a problem by line."""

import datetime
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, TypeVar

from django.core.exceptions import ValidationError

from breeding.animals.fields import Birth
from breeding.animals.models import Animal, Species, Strain
from breeding.program.models import Program
from breeding.records.incoming import cells
from breeding.records.incoming.delimited import Row, Table
from breeding.records.incoming.meanings import BY_KEY, DATE_MEANINGS, TEXTS, unit_in
from breeding.records.models import ImportDraft
from breeding.words.numbers import joined

_SHOWN = 60

T = TypeVar("T")


@dataclass(frozen=True)
class Problem:
    """Why the table cannot be written: the lines, the column's meaning, and a sentence."""

    lines: tuple[int, ...]
    meaning: str
    message: str

    @property
    def where(self) -> str:
        """Line 5, sire; or lines 3 and 5."""
        what = BY_KEY[self.meaning].label.lower() if self.meaning in BY_KEY else ""
        if not self.lines:
            return what.capitalize() or "The table"
        shown = [f"{line}" for line in self.lines[:6]]
        if len(self.lines) > 6:
            shown.append(f"{len(self.lines) - 6} more")
        lines = f"Line{'s' if len(self.lines) > 1 else ''} {joined(shown)}"
        return f"{lines}, {what}" if what else lines


@dataclass
class TypedRow:
    """One row, read. `typed` holds what stood in the cells, by meaning."""

    line: int
    typed: Mapping[str, str]
    code: str = ""
    facts: dict[str, Any] = field(default_factory=dict)
    species_shares: dict[Species, Fraction] = field(default_factory=dict)
    measurement: dict[str, Any] | None = None
    sex_from_use: str = ""

    @property
    def own_code(self) -> str:
        """The code as the table has it, by which its other rows name this one."""
        return " ".join(self.typed.get("code", "").split())


def shown(value: str) -> str:
    """A value as a problem names it: on one line, not too long, in quotation marks."""
    flat = " ".join(value.split())
    return f"“{flat[:_SHOWN]}…”" if len(flat) > _SHOWN else f"“{flat}”"


def sentence(typed: str, problem: ValidationError) -> str:
    """What is wrong with a cell, in a whole sentence that names what stands in it."""
    words = str(problem.messages[0])
    return f"{shown(typed)} {words}" if problem.code == cells.FOLLOWS else words


class RowReader:
    """Reads rows one after the other; `problems` grows, `new_strains` are those not on record."""

    def __init__(
        self, table: Table, draft: ImportDraft, *, program: Program, today: datetime.date
    ) -> None:
        self.table, self.draft, self.today = table, draft, today
        self.columns = {
            meaning: position
            for meaning, position in draft.columns.items()
            if meaning in BY_KEY and position < len(table.headers)
        }
        self.problems: list[Problem] = []
        self.units = {
            meaning: unit_in(table.headers[self.columns[meaning]], meaning) or usual
            for meaning, usual in (
                ("disc_width", program.length_unit),
                ("weight", program.weight_unit),
            )
            if meaning in self.columns
        }
        self.order = self._order_of_dates()
        self._species = _species_by_word()
        self._strains = {cells.plain(strain.name): strain for strain in Strain.objects.all()}
        self.new_strains: dict[str, Strain] = {}

    def read(self) -> list[TypedRow]:
        return [self._row(row) for row in self.table.rows]

    def cell(self, row: Row, meaning: str) -> str:
        position = self.columns.get(meaning)
        return "" if position is None else row.cells[position]

    def _order_of_dates(self) -> str | None:
        """Day or month first; None when it must be asked, which is a problem kept."""
        if self.draft.date_order:
            return str(self.draft.date_order)
        typed = [
            (row.line, text)
            for row in self.table.rows
            for meaning in DATE_MEANINGS
            if (text := self.cell(row, meaning))
        ]
        try:
            return cells.order_of_dates(typed)
        except ValidationError as problem:
            self.problems.append(Problem((), "order", problem.messages[0]))
            return None

    def _row(self, row: Row) -> TypedRow:
        typed = {meaning: self.cell(row, meaning) for meaning in self.columns}
        if row.given > len(self.table.headers):
            self.problems.append(
                Problem(
                    (row.line,),
                    "",
                    f"The row has {row.given} values, but the header names "
                    f"{len(self.table.headers)} columns; a value that holds the separator stands "
                    "in quotation marks.",
                )
            )
        read = TypedRow(row.line, typed)
        if read.own_code:
            read.code = f"{self.draft.put_before_codes}{read.own_code}"
        facts = read.facts
        facts["call_name"] = " ".join(typed.get("call_name", "").split())
        facts.update({name: typed.get(name, "") for name in TEXTS})
        facts["country"] = " ".join(facts["country"].split())
        facts["sex"] = self._word(row, "sex", cells.SEXES, Animal.Sex.UNKNOWN)
        facts["origin"] = self._word(row, "origin", cells.ORIGINS, Animal.Origin.UNKNOWN)
        birth = self._date(row, "born", cells.read_date) or Birth()
        facts["born_on"], facts["born_precision"] = birth.on, birth.precision
        self._state(row, facts)
        if strain := self._strain(typed.get("strain", "")):
            facts["strain"] = strain
        read.species_shares = self._try(row, "species", self._shares) or {}
        read.measurement = self._measurement(row)
        return read

    def _try(self, row: Row, meaning: str, reading: Callable[[str], T]) -> T | None:
        """What the cell says; None when it is empty or cannot be read, which is a problem kept."""
        text = self.cell(row, meaning)
        if not text:
            return None
        try:
            return reading(text)
        except ValidationError as problem:
            self.problems.append(Problem((row.line,), meaning, sentence(text, problem)))
            return None

    def _word(
        self, row: Row, meaning: str, words: Mapping[Any, tuple[str, ...]], usual: str
    ) -> str:
        label = BY_KEY[meaning].label.lower()
        found = self._try(row, meaning, lambda text: cells.read_word(text, words, what=label))
        return found or usual

    def _date(self, row: Row, meaning: str, reading: Callable[..., T]) -> T | None:
        text = self.cell(row, meaning)
        if self.order is None and cells.numbers_of_date(text):
            return None  # its order is asked for, once for the whole table
        order = self.order or cells.DAY_FIRST
        return self._try(row, meaning, lambda text: reading(text, order, today=self.today))

    def _state(self, row: Row, facts: dict[str, Any]) -> None:
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
                        f"{shown(self.cell(row, 'died_on'))} is a day of death, but the state of "
                        f"the animal is {shown(stated)}; correct one of the two.",
                    )
                )
            facts["state"], since = Animal.State.DIED, died
        elif since is not None and not stated:
            self.problems.append(
                Problem(
                    (row.line,),
                    "state_on",
                    f"{shown(self.cell(row, 'state_on'))} says since when, but the row has no "
                    "state; write here, on loan, left or died.",
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
                raise ValidationError(f"{shown(word)} is given twice; give each species once.")
            shares[species] = share
        return shares

    def _one_species(self, word: str) -> Species:
        found = self._species.get(cells.plain(word), [])
        if len(found) == 1:
            return found[0]
        if found:
            names = joined([species.accepted_name for species in found], "or")
            raise ValidationError(f"{shown(word)} can be {names}; write the accepted name.")
        known = sorted({one.accepted_name for species in self._species.values() for one in species})
        more = f", or one of {len(known) - 12} more" if len(known) > 12 else ""
        raise ValidationError(
            f"{shown(word)} is no species on record; write {joined(known[:12], 'or')}{more}, or "
            "its trade name."
        )

    def _measurement(self, row: Row) -> dict[str, Any] | None:
        width = self._try(
            row,
            "disc_width",
            lambda text: cells.read_length(text, self.units["disc_width"]),
        )
        grams = self._try(row, "weight", lambda text: cells.read_weight(text, self.units["weight"]))
        on = self._date(row, "measured_on", cells.read_full_date) or self.draft.measured_on
        if width is None and grams is None:
            return None
        return {"on": on, "disc_width_mm": width, "weight_g": grams}


def _species_by_word() -> dict[str, list[Species]]:
    """Every word for a species: accepted, short and trade name, and its key."""
    found: dict[str, list[Species]] = {}
    for species in Species.objects.all():
        words = {species.accepted_name, species.short_name, species.trade_name, species.key}
        for word in {cells.plain(word) for word in words if word}:
            found.setdefault(word, []).append(species)
    return found
