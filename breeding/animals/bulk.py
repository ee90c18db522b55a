"""Many animals at once, related to each other: checked together, written in one act or not at all.

The rules are those of writing down one animal (parentage.py); here they are asked of rows whose
parents may be other rows, in any order.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from graphlib import CycleError, TopologicalSorter
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from breeding.animals import lineage, parentage, revisions, services
from breeding.animals.impossible import (
    Shares,
    before_birth,
    is_before_birth,
    settle_birth_precision,
    species_problems,
)
from breeding.animals.lineage import Lineage, pedigree_row
from breeding.animals.models import Animal, PossibleSire, SpeciesShare
from breeding.animals.parentage import Parents, Young
from breeding.animals.species.profiles import all_profiles
from breeding.program.models import Person
from breeding.program.queries import the_program

MOST_LOOPS = 25  # so many are named at once; each further one shows when these are mended

Parent = Animal | int

# What a row cannot say wrongly, or is checked here for all rows together.
_NOT_CHECKED_BY_FIELD = {"sire", "dam", "strain", "portrait", "recorded_by"}


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
    """Why rows cannot be written: which rows (by key), which field, and a sentence."""

    keys: tuple[int, ...]
    field: str
    message: str


class RefusedError(ValidationError):
    """Nothing was written; `refusals` say why."""

    def __init__(self, refusals: Sequence[Refusal]) -> None:
        self.refusals = tuple(refusals)
        super().__init__([refusal.message for refusal in refusals])


def with_codes(rows: Iterable[NewAnimal]) -> list[NewAnimal]:
    """The same rows, each with a code: the program's next ones where none is given. One query."""
    rows = list(rows)
    if all(row.code for row in rows):
        return rows
    prefix = the_program().code_prefix
    taken = set(Animal.objects.filter(code__startswith=prefix).values_list("code", flat=True))
    taken |= {row.code for row in rows if row.code}
    number = int(services.next_code(prefix, taken)[len(prefix) :])
    coded = []
    for row in rows:
        if not row.code:
            row = replace(row, code=f"{prefix}{number:03d}")
            number += 1
        coded.append(row)
    return coded


def check_animals(rows: Sequence[NewAnimal]) -> list[Refusal]:
    """Everything that forbids these rows, in their order; nothing is written. Rows have codes.

    The same rules as for one animal by hand, with the other rows as possible parents. Cost: a few
    queries, whatever the number of rows; linear in the rows and, once, in the animals on record.
    """
    return list(_Check(rows).refusals())


def expected_lineage(rows: Sequence[NewAnimal]) -> Lineage:
    """The lineage of everything on record and these rows, under -key; nothing is written.

    Raises LineageError when the rows make a loop.
    """
    known = lineage.current()
    pedigree_rows: list[tuple[Any, ...]] = []
    base = dict(known.base)
    for row in rows:
        dam = None if row.dam is None else _id(row.dam)
        sire = None if row.sire is None else _id(row.sire)
        candidates = {_id(one): share for one, share in row.possible_sires} or None
        animal = _animal(row)
        pedigree_rows.append(
            pedigree_row(-row.key, sire, dam, candidates, animal.born_on, animal.born_precision)
        )
        if not row.parents and row.species_shares:
            base[-row.key] = {one.pk: share for one, share in row.species_shares.items()}
    return Lineage(known.pedigree.with_rows(pedigree_rows), base)


@transaction.atomic
def register_animals(rows: Iterable[NewAnimal], *, by: Person | None) -> dict[int, Animal]:
    """Write down all of these animals, parents before young, and give them back by key.

    All or nothing: raises RefusedError, and nothing is written, when one of them is not possible.
    """
    rows = with_codes(rows)
    if refusals := check_animals(rows):
        raise RefusedError(refusals)
    by_key = {row.key: row for row in rows}
    order = TopologicalSorter({row.key: _keys(row) for row in rows}).static_order()
    written: dict[int, Animal] = {}

    def real(parent: Parent | None) -> Animal | None:
        return written[parent] if isinstance(parent, int) else parent

    for key in order:
        row = by_key[key]
        animal = _animal(row)
        animal.recorded_by = by
        animal.sire, animal.dam = real(row.sire), real(row.dam)
        try:
            with transaction.atomic():
                animal.save(force_insert=True)
        except IntegrityError:  # somebody took the code since the check
            taken = f"The code {row.code} is taken."
            raise RefusedError([Refusal((key,), "code", taken)]) from None
        written[key] = animal
    _write_shares(rows, written)
    for row in rows:
        if row.measurement:
            services.add_measurement(written[row.key], by=by, **row.measurement)
    revisions.parentage_changed()
    return written


def _write_shares(rows: Sequence[NewAnimal], written: Mapping[int, Animal]) -> None:
    PossibleSire.objects.bulk_create(
        PossibleSire(
            animal=written[row.key],
            sire=written[sire] if isinstance(sire, int) else sire,
            share=share,
        )
        for row in rows
        for sire, share in row.possible_sires
    )
    SpeciesShare.objects.bulk_create(
        SpeciesShare(animal=written[row.key], species=species, share=share)
        for row in rows
        for species, share in (row.species_shares or {}).items()
    )


def _id(parent: Parent) -> int:
    return -parent if isinstance(parent, int) else int(parent.pk)


def _keys(row: NewAnimal) -> set[int]:
    return {parent for parent in row.parents if isinstance(parent, int)}


def _animal(row: NewAnimal) -> Animal:
    animal = Animal(code=row.code, **row.facts)
    settle_birth_precision(animal)
    return animal


class _Check:
    """The rules, asked of stand-ins: animals that are not saved, under -key."""

    def __init__(self, rows: Sequence[NewAnimal]) -> None:
        self.rows = rows
        self.stand_ins: dict[int, Animal] = {}
        for row in rows:
            self.stand_ins[row.key] = _animal(row)
            self.stand_ins[row.key].pk = -row.key

    def refusals(self) -> Iterator[Refusal]:
        yield from self._codes()
        for row in self.rows:
            for where, message in (*self._facts(row), *self._parents(row)):
                yield Refusal((row.key,), where, message)
        yield from self._one_part_each()
        yield from self._loops()

    def _codes(self) -> Iterator[Refusal]:
        by_code: dict[str, list[int]] = {}
        for row in self.rows:
            by_code.setdefault(row.code, []).append(row.key)
        for code, keys in by_code.items():
            if len(keys) > 1:
                message = f"The code {code} is given more than once; no two animals share one."
                yield Refusal(tuple(keys), "code", message)
        for code, animal in Animal.objects.in_bulk(list(by_code), field_name="code").items():
            named = f", by {animal.call_name}" if animal.call_name else ""
            message = f"The code {code} is taken already{named}; it is on record."
            yield Refusal(tuple(by_code[code]), "code", message)

    def _facts(self, row: NewAnimal) -> Iterator[tuple[str, str]]:
        animal = self.stand_ins[row.key]
        try:
            animal.clean_fields(exclude=_NOT_CHECKED_BY_FIELD)
        except ValidationError as problem:
            for where, messages in problem.message_dict.items():
                yield from ((where, message) for message in messages)
        if animal.state_on is not None and is_before_birth(animal, animal.state_on):
            yield "state_on", before_birth(animal, animal.state_on)
        measured = (row.measurement or {}).get("on")
        if measured is not None and is_before_birth(animal, measured):
            yield "measured_on", before_birth(animal, measured)
        has_parents = bool(row.parents)
        for message in species_problems(animal.name, row.species_shares, has_parents=has_parents):
            yield "species_shares", message

    def _parents(self, row: NewAnimal) -> Iterator[tuple[str, str]]:
        if not row.parents:
            return
        animal = self.stand_ins[row.key]
        dam = self._stand_in(row.dam)
        parents = Parents(
            self._stand_in(row.sire),
            dam,
            tuple((self._one(sire), share) for sire, share in row.possible_sires),
        )
        young = Young(
            name=animal.name,
            born_on=animal.born_on,
            born_precision=animal.born_precision,
            pk=animal.pk,
        )
        if any(one.state == Animal.State.DIED for _, one in parents.everyone):
            young = replace(young, gestation_longest_days=self._gestation_longest_days(dam))
        try:
            parentage.check(young, parents)
        except ValidationError as problem:
            for where, messages in problem.message_dict.items():
                yield from ((where, message) for message in messages)

    def _one(self, parent: Parent) -> Animal:
        return self.stand_ins[parent] if isinstance(parent, int) else parent

    def _stand_in(self, parent: Parent | None) -> Animal | None:
        return None if parent is None else self._one(parent)

    def _gestation_longest_days(self, dam: Animal | None) -> int:
        """As for one animal (readings.py), with the rows themselves among the ancestors."""
        profiles = all_profiles()
        if dam is None:
            return profiles.unknown.gestation_longest_days
        return profiles.of(self._shares.get(dam.pk, {})).gestation_longest_days

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
            message = (
                f"{named[pk].name} is named both as a sire and as a dam; an animal is one or "
                "the other."
            )
            yield Refusal(keys, "sire", message)
        yield from _used_otherwise(as_sire, as_dam, named)

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
                own = {"F": "her", "M": "his"}.get(animals[0].sex, "its")
                names = ", ".join(animal.name for animal in animals)
                yield Refusal(
                    tuple(keys), "sire", f"{animals[0].name} is among {own} own ancestors: {names}."
                )
            else:
                return


def _used_otherwise(
    as_sire: Mapping[int, list[int]], as_dam: Mapping[int, list[int]], named: Mapping[int, Animal]
) -> Iterator[Refusal]:
    sires = [pk for pk in as_sire if pk > 0]
    dams = [pk for pk in as_dam if pk > 0]
    if sires:
        mothers = Animal.objects.filter(dam__in=sires).values_list("dam", flat=True)
        for pk in sorted({pk for pk in mothers if pk is not None}):
            yield _other_part(named[pk], "sire", "dam", as_sire[pk])
    if dams:
        fathers = {*Animal.objects.filter(sire__in=dams).values_list("sire", flat=True)}
        fathers |= {*PossibleSire.objects.filter(sire__in=dams).values_list("sire", flat=True)}
        for pk in sorted({pk for pk in fathers if pk is not None}):
            yield _other_part(named[pk], "dam", "sire", as_dam[pk])


def _other_part(animal: Animal, here: str, on_record: str, keys: Sequence[int]) -> Refusal:
    return Refusal(
        tuple(keys),
        here,
        f"{animal.name} is named as a {here}, but on record {animal.full_name} is the "
        f"{on_record} of other animals; an animal is one or the other.",
    )
