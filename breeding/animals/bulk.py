"""New animals, related to each other: checked together before they are written (services.py).

The rules are those of any animal (checks.py, parentage.py); here they are asked of rows, one or
many, whose parents may be other rows, in any order.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from graphlib import CycleError, TopologicalSorter
from typing import Any

from django.core.exceptions import ValidationError

from breeding.animals import lineage
from breeding.animals.lineage import Lineage, pedigree_row
from breeding.animals.models import Animal
from breeding.animals.parents.impossible import (
    OnRecord,
    Problem,
    Shares,
    after_death,
    before_birth,
    is_after_death,
    is_before_birth,
    problems_of,
    settle_birth_precision,
)
from breeding.animals.parents.parentage import Parents
from breeding.animals.queries import gestation_longest_days, parts_on_record, with_code
from breeding.animals.species.profiles import all_profiles
from breeding.program.queries import the_program
from breeding.words import language
from breeding.words.language import tell

OWN_ANCESTORS = {
    Animal.Sex.FEMALE: language.message("{animal} is among her own ancestors: {chain}."),
    Animal.Sex.MALE: language.message("{animal} is among his own ancestors: {chain}."),
    Animal.Sex.UNKNOWN: language.message("{animal} is among its own ancestors: {chain}."),
}
MOST_LOOPS = 25  # so many are named at once; each further one shows when these are mended

Parent = Animal | int

CODE_TAKEN = "code_taken"  # by an animal on record, so that another code would do
BOTH_PARTS = "both_parts"  # named as a sire and as a dam


@dataclass(frozen=True)
class NewAnimal:
    """One animal to write down. `key` is a number above 0 by which other rows name it.

    A parent is an animal on record, the key of another row, or None for unknown. An empty code:
    the program gives one. `facts` are plain fields of Animal; `measurement` those of Measurement.
    """

    key: int
    code: str = ""
    facts: Mapping[str, Any] = field(default_factory=dict)
    sire: Parent | None = None
    dam: Parent | None = None
    possible_sires: tuple[tuple[Parent, Fraction], ...] = ()
    species_shares: Shares | None = None
    measurement: Mapping[str, Any] | None = None

    @property
    def name(self) -> str:
        return str(self.facts.get("call_name") or self.code)

    @property
    def sires(self) -> tuple[Parent, ...]:
        known = () if self.sire is None else (self.sire,)
        return known + tuple(sire for sire, _ in self.possible_sires)

    @property
    def parents(self) -> tuple[Parent, ...]:
        return self.sires if self.dam is None else (*self.sires, self.dam)


@dataclass(frozen=True)
class Refusal:
    """Why rows cannot be written: which rows (by key), which field, and one error."""

    keys: tuple[int, ...]
    field: str
    error: ValidationError

    @property
    def message(self) -> str:
        return str(self.error.messages[0])


class RefusedError(ValidationError):
    """Nothing was written; `refusals` say why, and as any ValidationError it says so by field."""

    def __init__(self, refusals: Sequence[Refusal]) -> None:
        self.refusals = tuple(refusals)
        errors: dict[str, list[ValidationError]] = {}
        for refusal in refusals:
            errors.setdefault(refusal.field, []).append(refusal.error)
        super().__init__(errors)


def next_number(prefix: str, taken: Iterable[str]) -> int:
    """The number after the highest one in use behind a prefix."""
    numbers = [
        int(code[len(prefix) :])
        for code in taken
        if code.startswith(prefix) and code[len(prefix) :].isdigit() and len(code) < 18
    ]
    return max(numbers, default=0) + 1


def with_codes(rows: Iterable[NewAnimal]) -> list[NewAnimal]:
    """The same rows, each with a code: the program's next ones where none is given. One query."""
    rows = list(rows)
    if all(row.code for row in rows):
        return rows
    prefix = the_program().code_prefix
    taken = set(Animal.every.filter(code__startswith=prefix).values_list("code", flat=True))
    taken |= {row.code for row in rows if row.code}
    number = next_number(prefix, taken)
    coded = []
    for row in rows:
        if not row.code:
            row = replace(row, code=f"{prefix}{number:03d}")
            number += 1
        coded.append(row)
    return coded


def with_parents_as_they_stand(rows: Iterable[NewAnimal]) -> list[NewAnimal]:
    """The same rows, parents on record read anew: others may have changed them. One query."""
    rows = list(rows)
    named = {one.pk for row in rows for one in row.parents if isinstance(one, Animal)}
    now = Animal.every.in_bulk(named) if named else {}

    def anew(parent: Parent | None) -> Parent | None:
        return now[parent.pk] if isinstance(parent, Animal) else parent

    return [
        replace(
            row,
            sire=anew(row.sire),
            dam=anew(row.dam),
            possible_sires=tuple((anew(sire) or sire, share) for sire, share in row.possible_sires),
        )
        for row in rows
    ]


def check_animals(rows: Sequence[NewAnimal]) -> list[Refusal]:
    """Everything that forbids these rows, in their order; nothing is written. Rows have codes.

    Cost: a few queries, whatever the number of rows; linear in the rows and, where a dam that is
    a row has young of a dead parent, once in the animals on record.
    """
    return list(_Check(rows).refusals())


def expected_lineage(rows: Sequence[NewAnimal]) -> Lineage:
    """The lineage of everything on record and these rows, under -key; nothing is written.

    Raises LineageError when the rows make a loop.
    """
    known = lineage.current()
    pedigree_rows: list[tuple[Any, ...]] = []
    base = dict(known.base)
    wild = set(known.wild)
    for row in rows:
        dam = None if row.dam is None else _id(row.dam)
        sire = None if row.sire is None else _id(row.sire)
        candidates = {_id(one): share for one, share in row.possible_sires} or None
        animal = unsaved(row)
        pedigree_rows.append(
            pedigree_row(-row.key, sire, dam, candidates, animal.born_on, animal.born_precision)
        )
        if not row.parents and row.species_shares:
            base[-row.key] = {one.pk: share for one, share in row.species_shares.items()}
        if animal.origin == Animal.Origin.WILD:
            wild.add(-row.key)
    return Lineage(known.pedigree.with_rows(pedigree_rows), base, frozenset(wild), known.kin)


def _id(parent: Parent) -> int:
    return -parent if isinstance(parent, int) else int(parent.pk)


def _keys(row: NewAnimal) -> set[int]:
    return {parent for parent in row.parents if isinstance(parent, int)}


def parents_first(rows: Iterable[NewAnimal]) -> Iterator[tuple[int, ...]]:
    """The keys of the rows, many at a time: each after those of its parents."""
    order = TopologicalSorter({row.key: _keys(row) for row in rows})
    order.prepare()
    while order.is_active():
        keys = order.get_ready()
        yield keys
        order.done(*keys)


def unsaved(row: NewAnimal) -> Animal:
    """The animal of a row, without its parents."""
    animal = Animal(code=row.code, **row.facts)
    settle_birth_precision(animal)
    return animal


class _Check:
    """The rules, asked of stand-ins: animals that are not saved, under -key."""

    def __init__(self, rows: Sequence[NewAnimal]) -> None:
        self.rows = rows
        self.stand_ins: dict[int, Animal] = {}
        for row in rows:
            self.stand_ins[row.key] = unsaved(row)
            self.stand_ins[row.key].pk = -row.key

    def refusals(self) -> Iterator[Refusal]:
        yield from self._codes()
        yield from self._chips()
        for row in self.rows:
            for where, error in self._problems(row):
                yield Refusal((row.key,), where, error)
        yield from self._one_part_each()
        yield from self._loops()

    def _codes(self) -> Iterator[Refusal]:
        by_code: dict[str, list[int]] = {}
        for row in self.rows:
            by_code.setdefault(row.code, []).append(row.key)
        for code, keys in by_code.items():
            if len(keys) > 1:
                message = tell(
                    "The code {code} is given more than once; no two animals share one.", code=code
                )
                yield Refusal(tuple(keys), "code", ValidationError(message))
        for code, animal in with_code(by_code).items():
            message = (
                tell(
                    "The code {code} is taken already, by {animal}; it is on record.",
                    code=code,
                    animal=animal.call_name,
                )
                if animal.call_name
                else tell("The code {code} is taken already; it is on record.", code=code)
            )
            yield Refusal(tuple(by_code[code]), "code", ValidationError(message, code=CODE_TAKEN))

    def _chips(self) -> Iterator[Refusal]:
        by_chip: dict[str, list[int]] = {}
        for row in self.rows:
            if chip := row.facts.get("chip"):
                by_chip.setdefault(chip, []).append(row.key)
        taken = {one.chip: one.full_name for one in Animal.objects.filter(chip__in=by_chip)}
        for chip, keys in by_chip.items():
            if len(keys) > 1 or chip in taken:
                message = (
                    tell(
                        "The chip number {chip} is given to more than one animal. {animal} has it.",
                        chip=chip,
                        animal=taken[chip],
                    )
                    if chip in taken
                    else tell("The chip number {chip} is given to more than one animal.", chip=chip)
                )
                yield Refusal(tuple(keys), "chip", ValidationError(message))

    def _problems(self, row: NewAnimal) -> Iterator[Problem]:
        animal = self.stand_ins[row.key]
        parents = self._parents(row)
        for word, one in parents.everyone:
            if one.is_withdrawn:
                where = "possible_sires" if word == "possible sire" else word
                yield (
                    where,
                    ValidationError(
                        tell("{animal} is withdrawn; bring it back first.", animal=one.full_name)
                    ),
                )
        yield from problems_of(animal, parents, row.species_shares, self._on_record)
        measured = (row.measurement or {}).get("on")
        if measured is not None and is_before_birth(animal, measured):
            yield "measured_on", ValidationError(before_birth(animal, measured))
        if measured is not None and is_after_death(animal, measured):
            yield "measured_on", ValidationError(after_death(animal, measured))

    def _parents(self, row: NewAnimal) -> Parents:
        possible = tuple((self._one(sire), share) for sire, share in row.possible_sires)
        return Parents(self._stand_in(row.sire), self._stand_in(row.dam), possible)

    @cached_property
    def _on_record(self) -> OnRecord:
        named = [one for row in self.rows for one in row.parents if isinstance(one, Animal)]
        sires, dams = parts_on_record(named)
        return OnRecord(self._gestation_longest_days, sires, dams)

    def _one(self, parent: Parent) -> Animal:
        return self.stand_ins[parent] if isinstance(parent, int) else parent

    def _stand_in(self, parent: Parent | None) -> Animal | None:
        return None if parent is None else self._one(parent)

    def _gestation_longest_days(self, dam: Animal | None) -> int:
        if dam is None or dam.pk > 0:
            return gestation_longest_days(dam)
        return all_profiles().of(self._shares.get(dam.pk, {})).gestation_longest_days

    @cached_property
    def _shares(self) -> Mapping[int, Mapping[int | None, Fraction]]:
        if next(self._loops(), None) is not None or any(
            row.key in row.parents for row in self.rows
        ):
            return {}
        return expected_lineage(self.rows).shares

    def _one_part_each(self) -> Iterator[Refusal]:
        """An animal is a sire or a dam, never both, in the rows and on record."""
        as_sire: dict[int, list[int]] = {}
        as_dam: dict[int, list[int]] = {}
        named: dict[int, Animal] = {}
        for row in self.rows:
            for sire in row.sires:
                as_sire.setdefault(_id(sire), []).append(row.key)
                named[_id(sire)] = self._one(sire)
            if row.dam is not None:
                as_dam.setdefault(_id(row.dam), []).append(row.key)
                named[_id(row.dam)] = self._one(row.dam)
        for pk in as_sire.keys() & as_dam.keys():
            if set(as_sire[pk]) == set(as_dam[pk]) and len(as_sire[pk]) == 1:
                continue  # both parents of one animal: parentage.py says that
            keys = tuple(sorted({*as_sire[pk], *as_dam[pk]}))
            message = tell(
                "{animal} is named both as a sire and as a dam; an animal is one or the other.",
                animal=named[pk].name,
            )
            yield Refusal(keys, "sire", ValidationError(message, code=BOTH_PARTS))

    def _loops(self) -> Iterator[Refusal]:
        graph = {row.key: _keys(row) - {row.key} for row in self.rows}
        for _ in range(MOST_LOOPS):
            try:
                TopologicalSorter(graph).prepare()
            except CycleError as loop:
                keys = list(reversed(loop.args[1]))[:-1]  # young before its parent
                for key in keys:
                    graph[key] = graph[key] - set(keys)
                first = keys.index(min(keys))
                keys = keys[first:] + keys[:first]
                animals = [self.stand_ins[key] for key in (*keys, keys[0])]
                names = ", ".join(animal.name for animal in animals)
                sentence = OWN_ANCESTORS[Animal.Sex(animals[0].sex)]
                message = tell(sentence, animal=animals[0].name, chain=names)
                yield Refusal(tuple(keys), "sire", ValidationError(message))
            else:
                return
