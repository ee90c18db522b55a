"""What the pages of the import show; nothing is written."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from breeding.animals import lineage
from breeding.animals.bulk import NewAnimal, Parent
from breeding.animals.models import Animal
from breeding.animals.queries import species_names
from breeding.program.kinds import kind_words
from breeding.program.models import Program
from breeding.records.answer_forms import Asked, asked_of
from breeding.records.incoming.answers import Answered, answers_in
from breeding.records.incoming.delimited import Table, read_table
from breeding.records.incoming.kinds.table import ANIMALS, KINDS, meanings_of, note_of
from breeding.records.incoming.meanings import BY_KEY, TEXTS, Meaning, within
from breeding.records.incoming.problems import Looked
from breeding.records.incoming.proposal import FROM_USE, Proposal, propose
from breeding.records.incoming.trial import Trial, cell_words, try_out
from breeding.records.models import ImportDraft
from breeding.words.days import born_words
from breeding.words.descent.shares import shares_words
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined, percent
from breeding.words.sizes import length, weight

ROWS_A_PAGE = 200
# What the rows of a sheet may name; of most, animals alone.
_NAMED_BY = {
    ANIMALS: ("species", "strains"),
    "species": (),
    "strains": ("species",),
    "people": (),
    "water": ("stays",),
    "feedings": (ANIMALS, "stays"),
    "sales": (ANIMALS, "people"),
}
_LARGEST_POWER_OF_TWO = 2**20  # nobody reads a longer fraction
_LARGEST_OTHER = 10_000
_ROUNDING = 1e-13


@dataclass(frozen=True)
class ShownParent:
    """A parent in the preview: its name, its page when it is on record, its share when unsure."""

    name: str
    address: str = ""
    share: Fraction | None = None


@dataclass(frozen=True)
class ShownRow:
    """One row as it would be written."""

    line: int
    code: str
    code_given: bool
    call_name: str
    sex: str
    sex_from_use: str
    born: str
    sires: tuple[ShownParent, ...]
    dam: ShownParent | None
    species: str
    inbreeding: str
    further: tuple[tuple[str, str], ...]
    has_problem: bool


def inbreeding_words(value: float) -> str:
    """F as the fraction it is and as a percentage; only the latter when the fraction is long.

    Sums and halvings of kinship are exact in floating point. Shares such as 1/3 are not: their
    fraction is the only one with a small denominator so near (two such differ by 1e-8 or more).

    >>> inbreeding_words(0.140625)
    '9/64, 14.06 %'
    >>> inbreeding_words(1 / 12)
    '1/12, 8.33 %'
    >>> inbreeding_words(0.0), inbreeding_words(0.1234567)
    ('0', '12.35 %')
    """
    exact = Fraction(value)
    if exact == 0:
        return "0"
    if exact.denominator > _LARGEST_POWER_OF_TWO:
        exact = exact.limit_denominator(_LARGEST_OTHER)
        if abs(float(exact) - value) > _ROUNDING:
            return percent(value)
    return f"{exact}, {percent(value)}"


def preview_rows(
    proposal: Proposal, rows: Iterable[NewAnimal], *, program: Program
) -> list[ShownRow]:
    """These rows of the proposal, in words. One query."""
    names = species_names()
    troubled = {line for problem in proposal.problems for line in problem.lines}
    by_key = {row.key: row for row in proposal.rows}
    return [
        _shown(row, proposal, by_key, names, program, has_problem=row.key in troubled)
        for row in rows
    ]


def _shown(
    row: NewAnimal,
    proposal: Proposal,
    by_key: Mapping[int, NewAnimal],
    names: Mapping[int, str],
    program: Program,
    *,
    has_problem: bool,
) -> ShownRow:
    typed = proposal.typed[row.key]
    facts = row.facts
    known = proposal.lineage
    inbreeding = species = ""
    if known is not None:
        inbreeding = inbreeding_words(known.inbreeding[-row.key])
        species = shares_words(known.shares[-row.key], names)

    def parent(one: Parent, share: Fraction | None = None) -> ShownParent:
        if isinstance(one, Animal):
            return ShownParent(one.name, one.get_absolute_url(), share)
        return ShownParent(by_key[one].name, "", share)

    certain = () if row.sire is None else (parent(row.sire),)
    return ShownRow(
        line=row.key,
        code=row.code,
        code_given=not typed.code,
        call_name=facts["call_name"],
        sex=str(Animal.Sex(facts["sex"]).label),
        sex_from_use=tell(FROM_USE[typed.sex_from_use]) if typed.sex_from_use else "",
        born=born_words(facts["born_on"], facts["born_precision"]),
        sires=(*certain, *(parent(sire, share) for sire, share in row.possible_sires)),
        dam=None if row.dam is None else parent(row.dam),
        species=species,
        inbreeding=inbreeding,
        further=tuple(_further(row, program)),
        has_problem=has_problem,
    )


def _further(row: NewAnimal, program: Program) -> Iterable[tuple[str, str]]:
    facts: Mapping[str, Any] = row.facts
    if strain := facts.get("strain"):
        yield tell("strain"), strain.name
    if facts["origin"] != Animal.Origin.UNKNOWN:
        yield tell("origin"), str(Animal.Origin(facts["origin"]).label)
    yield tell("state"), _state_words(facts)
    if row.measurement:
        on = row.measurement["on"]
        if width := row.measurement["disc_width_mm"]:
            yield kind_words().size, _measured_on(length(width, program.length_unit), on)
        if grams := row.measurement["weight_g"]:
            yield tell("weight"), _measured_on(weight(grams, program.weight_unit), on)
    for name in TEXTS:
        if text := facts[name]:
            flat = " ".join(text.split())
            yield within(BY_KEY[name].label), flat if len(flat) <= 80 else f"{flat[:80]}…"


def _state_words(facts: Mapping[str, Any]) -> str:
    state = Animal.State(facts["state"]).label
    if not facts["state_on"]:
        return str(state)
    return tell("{state} since {day}", state=state, day=born_words(facts["state_on"], "day"))


def _measured_on(size: str, on: datetime.date | None) -> str:
    if on is None:
        return tell("{size} (day unknown)", size=size)
    return tell("{size} on {day}", size=size, day=born_words(on, "day"))


def written_rows(animals: Iterable[Animal]) -> list[tuple[Animal, str]]:
    """The animals with their F as it stands on record."""
    known = lineage.current()
    return [(animal, inbreeding_words(known.inbreeding[animal.pk])) for animal in animals]


def looked(
    draft: ImportDraft, *, program: Program, now: datetime.datetime, today: datetime.date
) -> Looked:
    """The draft looked through, by what its rows are; nothing stays written."""
    if draft.kind == ANIMALS:
        return propose(draft, program=program, today=today)
    return try_out(draft, program=program, now=now, today=today)


def asked(draft: ImportDraft, found: Looked) -> list[Asked]:
    """What is asked of its rows, and what was answered."""
    return asked_of(
        found,
        answers_in(draft.answers),
        {one.key: one for one in meanings_of(draft.kind)},
        has_note=bool(note_of(draft.kind)),
        own_names=found.own_names if isinstance(found, Proposal) else (),
    )


def preview(found: Looked, rows: Iterable[Any], *, program: Program) -> dict[str, Any]:
    """These rows in words, for the table of their kind."""
    if isinstance(found, Proposal):
        return {"rows": preview_rows(found, rows, program=program)}
    assert isinstance(found, Trial)  # noqa: S101  (for the type checker)
    troubled = {line for problem in found.problems for line in problem.lines}
    tried = [
        (
            row.line,
            row.line in troubled,
            [
                cell_words(row.facts[one.key], one, program)
                if row.facts
                else row.typed.get(one.key, "")
                for one in found.shown
            ],
        )
        for row in rows
    ]
    return {"tried": tried, "shown": found.shown}


def kinds_in_words() -> list[tuple[str, tuple[Meaning, ...]]]:
    """What a row can be, and what its columns can then mean."""
    return [
        (str(label), meanings_of(key))
        for key, label in ImportDraft.Kind.choices
        if key == ANIMALS or key in KINDS
    ]


def number_words(draft: ImportDraft, number: int) -> str:
    """So many records of its kind."""
    kind = KINDS.get(draft.kind)
    if kind is None:
        return tell_many("{number} animal", "{number} animals", number)
    return kind.number(number)


def size_words(table: Table) -> str:
    """How large a table is, of which nothing is written so far."""
    return tell(
        "{rows}, {columns}; nothing is written yet",
        rows=tell_many("{number} row", "{number} rows", len(table.rows)),
        columns=tell_many("{number} column", "{number} columns", len(table.headers)),
    )


def written_words(draft: ImportDraft) -> str:
    """How many of what were written down."""
    is_animals = draft.kind == ANIMALS
    number = draft.animals.count() if is_animals else len(draft.receipt)
    return number_words(draft, number)


def left_out_words(draft: ImportDraft) -> str:
    """The rows of the table that were left out by an answer, each with its line and name."""
    table = read_table(draft.text, draft.delimiter)
    answered = Answered(table, draft.columns, answers_in(draft.answers), {}, "", ())
    return joined([row.title for row in answered.left_out])


def others_of_workbook(draft: ImportDraft) -> list[ImportDraft]:
    """The other sheets of its workbook, in the order in which they are brought in."""
    if not draft.workbook:
        return []
    others = ImportDraft.objects.defer("text").filter(workbook=draft.workbook).exclude(pk=draft.pk)
    order = ImportDraft.Kind.values
    return sorted(others, key=lambda one: order.index(one.kind))


def waiting_before(draft: ImportDraft, others: Iterable[ImportDraft]) -> list[ImportDraft]:
    """Sheets of the workbook whose records this one may name, and which are not written yet."""
    named = _NAMED_BY.get(draft.kind, (ANIMALS,))
    return [one for one in others if not one.is_written and one.kind in named]


def drafts() -> list[ImportDraft]:
    """Every table, newest first, without its text."""
    return list(ImportDraft.objects.defer("text").select_related("recorded_by")[:50])
