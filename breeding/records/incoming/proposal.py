"""What a draft would write down, every problem that forbids it, and what was read into it."""

import datetime
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TypeVar

from django.core.exceptions import ValidationError

from breeding.animals import bulk
from breeding.animals.bulk import NewAnimal, Parent
from breeding.animals.doubts.names import doubts_of_call_names
from breeding.animals.doubts.rows import doubts_of_rows
from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal, Strain
from breeding.animals.queries import species_names
from breeding.program.models import Program
from breeding.program.problems.words import is_djangos
from breeding.records.incoming import cells
from breeding.records.incoming.delimited import read_table
from breeding.records.incoming.meanings import within
from breeding.records.incoming.named_parents import Names
from breeding.records.incoming.notes import column_notes
from breeding.records.incoming.problems import Looked, Problem, sentence, shown
from breeding.records.incoming.typed_rows import RowReader, TypedRow
from breeding.records.models import ImportDraft
from breeding.words.descent.shares import shares_words
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import some

Found = TypeVar("Found")

_NAMED = 8  # so many animals are named in a note, the others counted

# Where a refusal by the animals' own rules belongs among the columns.
_MEANING_OF_FIELD = {
    "possible_sires": "sire",
    "species_shares": "species",
    "born_on": "born",
    "born_precision": "born",
}
_LINEAGE = ("code", "sire", "dam")
# Of a row without a sex, by what it is named as elsewhere in the table.
FROM_USE = {"sire": message("as a sire"), "dam": message("as a dam")}
_SEX_FROM_USE = {
    "sire": message("No sex is given, read as male from being named as a sire: {animals}."),
    "dam": message("No sex is given, read as female from being named as a dam: {animals}."),
}


@dataclass
class Proposal(Looked):
    """The rows as they would be written, by line, and what stands against it."""

    typed: dict[int, TypedRow] = field(default_factory=dict)
    rows: list[NewAnimal] = field(default_factory=list)
    new_strains: list[Strain] = field(default_factory=list)
    on_record: set[Animal] = field(default_factory=set)
    lineage: Lineage | None = None
    own_names: list[str] = field(default_factory=list)


def propose(draft: ImportDraft, *, program: Program, today: datetime.date) -> Proposal:
    """Read the draft against the records; nothing is written.

    Raises TableError when its text is no table. Cost: linear in the rows; a constant number of
    queries.
    """
    table = read_table(draft.text, draft.delimiter)
    reader = RowReader(table, draft, program=program, today=today)
    typed = reader.read()
    proposal = Proposal(table, reader.problems, typed={row.line: row for row in typed})
    proposal.left_out = reader.answered.left_out
    proposal.own_names = [name for row in typed for name in (row.own_code, row.facts["call_name"])]
    proposal.new_strains = list(reader.new_strains.values())
    if not {"code", "call_name"} & reader.columns.keys():
        nameless = tell(
            "No column says which animal a row is; choose the one with the code or the name."
        )
        proposal.problems.append(Problem((), "columns", nameless))
        return proposal
    rows = _linked(typed, proposal)
    _read_sex_from_use(rows, proposal)
    proposal.rows = bulk.with_codes(rows)
    called = {row.key: row.facts["call_name"] for row in proposal.rows}
    asked = [*doubts_of_call_names(called), *doubts_of_rows(proposal.rows, program)]
    proposal.doubts = sorted(asked, key=lambda one: one[0])
    refusals = _without_what_follows(bulk.check_animals(proposal.rows))
    proposal.problems += [_as_problem(refusal, proposal) for refusal in refusals]
    if not any(problem.meaning in _LINEAGE for problem in proposal.problems):
        proposal.lineage = bulk.expected_lineage(proposal.rows)
        _compare_species(proposal, proposal.lineage)
    proposal.problems.sort(key=lambda problem: problem.lines[:1])
    proposal.notes += _notes(proposal, reader)
    return proposal


# ---------------------------------------------------------------------- who is whose parent


def _linked(typed: list[TypedRow], proposal: Proposal) -> list[NewAnimal]:
    names = Names(
        [(row.line, row.own_code, row.facts["call_name"]) for row in typed],
        (name for row in typed for name in _names_in(row)),
    )
    rows = []
    for row in typed:
        kept = _KeptProblems(row.line, proposal.problems)
        sire, possible = kept.ask("sire", row, lambda text: _sires(text, names)) or (None, ())
        dam = kept.ask("dam", row, lambda text: _dam(text, names))
        has_parents = sire is not None or bool(possible) or dam is not None
        rows.append(
            NewAnimal(
                key=row.line,
                code=row.code,
                facts=row.facts,
                sire=sire,
                dam=dam,
                possible_sires=possible,
                species_shares=None if has_parents else row.species_shares,
                measurement=row.measurement,
            )
        )
    return rows


class _KeptProblems:
    """Asks what a cell means; a refusal becomes a problem of its line."""

    def __init__(self, line: int, problems: list[Problem]) -> None:
        self.line, self.problems = line, problems

    def ask(self, meaning: str, row: TypedRow, reading: Callable[[str], Found]) -> Found | None:
        text = " ".join(row.typed.get(meaning, "").split())
        if not text:
            return None
        try:
            return reading(text)
        except ValidationError as problem:
            said = sentence(text, problem)
            stood = row.stood.get(meaning) or None
            self.problems.append(Problem((self.line,), meaning, said, typed=stood))
            return None


def _names_in(row: TypedRow) -> Iterable[str]:
    """Everything in the parents' cells that may be a name: whole cells and parts of lists."""
    for meaning in ("sire", "dam"):
        text = " ".join(row.typed.get(meaning, "").split())
        yield text
        for part in text.split("|"):
            yield part.strip()
            yield part.rpartition(":")[0].strip()


def _sires(text: str, names: Names) -> tuple[Parent | None, tuple[tuple[Parent, Fraction], ...]]:
    """The sire, or the possible sires with their shares."""
    if text in names or not _is_list(text):
        return names.find(text), ()
    parts = cells.filled_shares(cells.read_shared(text, names.__contains__))
    found = [(names.find(name), share) for name, share in parts]
    possible = tuple((sire, share) for sire, share in found if sire is not None)
    if len(possible) == 1 and possible[0][1] == 1:
        return possible[0][0], ()
    return None, possible


def _dam(text: str, names: Names) -> Parent | None:
    if text not in names and "|" in text:
        raise cells.refused(
            tell("names several dams; a dam is one animal. Leave it empty when she is not known.")
        )
    return names.find(text)


def _is_list(text: str) -> bool:
    if "|" in text:
        return True
    share = text.rpartition(":")[2].strip()
    return ":" in text and share[:1].isdigit()


def _read_sex_from_use(rows: list[NewAnimal], proposal: Proposal) -> None:
    """A row without a sex that is named as a sire is male, as a dam female; both: left alone."""
    as_sire = {sire for row in rows for sire in row.sires if isinstance(sire, int)}
    as_dam = {row.dam for row in rows if isinstance(row.dam, int)}
    for row in rows:
        proposal.on_record |= {one for one in row.parents if isinstance(one, Animal)}
        typed = proposal.typed[row.key]
        if typed.facts["sex"] == Animal.Sex.UNKNOWN and (row.key in as_sire) != (row.key in as_dam):
            is_sire = row.key in as_sire
            typed.facts["sex"] = Animal.Sex.MALE if is_sire else Animal.Sex.FEMALE
            typed.sex_from_use = "sire" if is_sire else "dam"


# ------------------------------------------------------------------------------ what is wrong


def _without_what_follows(refusals: list[bulk.Refusal]) -> list[bulk.Refusal]:
    """Without “named as a sire and as a dam” where one of its rows alone is at fault already."""
    alone = {one.keys[0] for one in refusals if len(one.keys) == 1 and one.field in ("sire", "dam")}
    return [
        one
        for one in refusals
        if one.error.code != bulk.BOTH_PARTS or not alone.intersection(one.keys)
    ]


def _as_problem(refusal: bulk.Refusal, proposal: Proposal) -> Problem:
    meaning = _MEANING_OF_FIELD.get(refusal.field, refusal.field)
    message = refusal.message
    if len(refusal.keys) > 1:
        lines = [str(key) for key in refusal.keys[:6]]
        named = ", ".join(lines)
        if len(refusal.keys) > 6:
            more = len(refusal.keys) - 6
            named = tell("{lines} and {number} more", lines=named, number=more)
        message = tell("{problem} (lines {lines}).", problem=message.rstrip("."), lines=named)
    elif is_djangos(refusal.error):
        value = proposal.typed[refusal.keys[0]].typed.get(meaning, "")
        message = tell("{typed}: {problem}", typed=shown(value), problem=within(message))
    cause = ""
    if refusal.error.code == bulk.CODE_TAKEN:
        cause = bulk.CODE_TAKEN
        way_out = tell(
            "Another animal of that code can come in with something put before the codes."
        )
        message = f"{message} {way_out}"
    return Problem(refusal.keys, meaning, message, cause=cause)


def _compare_species(proposal: Proposal, lineage: Lineage) -> None:
    """The species of an animal with recorded parents follow from theirs; say which rows differ."""
    if not any(row.parents and proposal.typed[row.key].species_shares for row in proposal.rows):
        return
    names = species_names()
    unwritten: list[str] = []
    for row in proposal.rows:
        given = proposal.typed[row.key].species_shares
        if not row.parents or not given:
            continue
        expected = lineage.shares[-row.key]
        by_parents = shares_words(expected, names)
        if _contradicts({one.pk: share for one, share in given.items()}, expected):
            typed = shown(proposal.typed[row.key].typed["species"])
            words = tell(
                "{typed} does not fit: by its parents {animal} is {species}. Correct the parents, "
                "or leave the species of an animal with recorded parents empty.",
                typed=typed,
                animal=row.name,
                species=by_parents,
            )
            proposal.problems.append(Problem((row.key,), "species", words))
        elif expected.get(None):
            unwritten.append(tell("{animal} ({species})", animal=row.name, species=by_parents))
    if unwritten:
        proposal.notes.append(
            tell(
                "The species of animals with recorded parents follow from their parents', and are "
                "partly unknown for {animals}: give the species of the ancestors.",
                animals=some(unwritten, _NAMED),
            )
        )


def _contradicts(given: dict[int, Fraction], expected: Mapping[int | None, Fraction]) -> bool:
    """Whether no filling in of the unknown parts makes the two the same."""
    unsaid = 1 - sum(given.values(), Fraction(0))
    unknown = 1 - sum(
        (share for label, share in expected.items() if label is not None), Fraction(0)
    )
    labels = {*given, *(label for label in expected if label is not None)}
    return any(
        given.get(label, Fraction(0)) > expected.get(label, Fraction(0)) + unknown
        or expected.get(label, Fraction(0)) > given.get(label, Fraction(0)) + unsaid
        for label in labels
    )


# ---------------------------------------------------------------------------- what is said so


def _notes(proposal: Proposal, reader: RowReader) -> Iterable[str]:
    for part, words in _SEX_FROM_USE.items():
        named = [r.name for r in proposal.rows if proposal.typed[r.key].sex_from_use == part]
        if named:
            yield tell(words, animals=some(named, _NAMED))
    if proposal.on_record:
        known = sorted(animal.full_name for animal in proposal.on_record)
        yield tell(
            "On record already, and taken as parents: {animals}.", animals=some(known, _NAMED)
        )
    coded = [row.code for row in proposal.rows if not proposal.typed[row.key].code]
    if coded:
        yield tell(
            "Rows without a code, to which the program gives one: {codes}.",
            codes=some(coded, _NAMED),
        )
    if proposal.new_strains:
        new = [strain.name for strain in proposal.new_strains]
        yield tell(
            "Strains not on record yet, which are written down too: {strains}.",
            strains=some(new, _NAMED),
        )
    if any(cells.numbers_of_date(text) for row in proposal.typed.values()
           for text in row.typed.values()) and reader.order:  # fmt: skip
        yield (
            tell("Dates such as 3.5.2024 are read with the day first.")
            if reader.order == cells.DAY_FIRST
            else tell("Dates such as 3.5.2024 are read with the month first.")
        )
    undated = sum(1 for r in proposal.rows if r.measurement and r.measurement["on"] is None)
    if undated:
        yield tell_many(
            "No day is given for the sizes of {number} row; they are written as of a day unknown.",
            "No day is given for the sizes of {number} rows; they are written as of a day unknown.",
            undated,
        )
    stateless = sum(
        1 for r in proposal.typed.values() if not (r.typed.get("state") or r.typed.get("died_on"))
    )
    added = [row.name for row in proposal.rows if proposal.typed[row.key].is_added]
    if added:
        yield tell(
            "Further animals, named as parents and written as not here: {animals}.",
            animals=some(added, _NAMED),
        )
    if stateless:
        state = Animal.State(reader.draft.usual_state).label
        if stateless == len(proposal.typed):
            yield tell(
                "Nothing is said of the state of all rows; they are written as “{state}”.",
                state=state,
            )
        else:
            yield tell_many(
                "Nothing is said of the state of {number} row; they are written as “{state}”.",
                "Nothing is said of the state of {number} rows; they are written as “{state}”.",
                stateless,
                state=state,
            )
    short = [str(r.line) for r in proposal.table.rows if r.given < len(proposal.table.headers)]
    if short:
        yield tell(
            "Rows that end early; what is missing is taken as empty: {lines}.",
            lines=some(short, _NAMED),
        )
    yield from column_notes(reader)
