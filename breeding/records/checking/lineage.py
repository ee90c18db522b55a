"""Lineage: animals among their own ancestors, and whatever no animal with these parents can be."""

from collections.abc import Callable, Iterator
from typing import Any

from django.core.exceptions import ValidationError

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.parents.impossible import OnRecord, problems_of
from breeding.animals.parents.parentage import Parents
from breeding.animals.species.profiles import all_profiles
from breeding.records.checking.finding import Finding, of_record
from breeding.records.checking.gathered import Gathered
from breeding.words.language import message, tell
from breeding.words.numbers import joined
from pedigree import LineageLoop, Pedigree

MOST_LOOPS = 50
_PARTS = {
    "sire": message("sire"),
    "dam": message("dam"),
    "possible sire": message("possible sire"),
}


def loops(gathered: Gathered) -> Iterator[Finding]:
    """One for each loop; it is opened at one animal, and the rest is looked at again."""
    rows = {row[0]: row for row in _pedigree_rows(gathered)}
    for _ in range(MOST_LOOPS):
        try:
            Pedigree.from_rows(list(rows.values()))
        except LineageLoop as found:
            loop = [one for one in dict.fromkeys(found.loop) if isinstance(one, int)]
            names = joined([gathered.animals[one].full_name for one in loop])
            yield of_record(
                gathered.animals[loop[0]],
                tell("It is among its own ancestors, through {names}.", names=names),
                tell(
                    "Take out the parent that is wrong, of one of them; until then no page that "
                    "asks for ancestors can answer."
                ),
            )
            rows[loop[0]] = (loop[0], None, None)
        else:
            return


def impossible_animals(gathered: Gathered) -> Iterator[Finding]:
    """Every rule that a new animal, or a changed one, is held against, asked of all on record."""
    longest = _longest_gestation(gathered)
    sires, dams = _parts(gathered)
    for animal in gathered.counting:
        parents = _parents(gathered, animal)
        on_record = OnRecord(longest, sires, dams)
        shares = {one.species: one.share for one in gathered.species_shares.get(animal.pk, ())}
        for _, problem in problems_of(animal, parents, shares, on_record):
            yield from (of_record(animal, sentence) for sentence in _sentences(problem))
        for word, parent in parents.everyone:
            if parent.is_withdrawn:
                yield of_record(
                    animal,
                    tell(
                        "{parent}, its {sire_or_dam}, is withdrawn.",
                        parent=parent.full_name,
                        sire_or_dam=tell(_PARTS[word]),
                    ),
                    tell(
                        "Choose another {sire_or_dam} on its page, or bring {parent} back.",
                        sire_or_dam=tell(_PARTS[word]),
                        parent=parent.name,
                    ),
                )


def _sentences(problem: ValidationError) -> Iterator[str]:
    yield from problem.messages


def _parents(gathered: Gathered, animal: Animal) -> Parents:
    there = gathered.animals
    possible = gathered.possible_sires.get(animal.pk, {})
    return Parents(
        there.get(animal.sire_id or 0),
        there.get(animal.dam_id or 0),
        tuple((there[sire], share) for sire, share in possible.items() if sire in there),
    )


def _parts(gathered: Gathered) -> tuple[frozenset[int], frozenset[int]]:
    """Who of unrecorded sex is a sire, and who a dam: the recorded sex is asked for by itself."""
    sires: set[int | None] = {one.sire_id for one in gathered.counting}
    for animal in gathered.counting:
        sires.update(gathered.possible_sires.get(animal.pk, ()))
    dams = {one.dam_id for one in gathered.counting}
    unknown = {one.pk for one in gathered.counting if one.sex == Animal.Sex.UNKNOWN}
    return frozenset(unknown & sires), frozenset(unknown & dams)


def _longest_gestation(gathered: Gathered) -> Callable[[Animal | None], int]:
    """By the dam's species; the longest of all where a loop lets nobody reckon what she is."""
    profiles = all_profiles()
    try:
        shares = lineage.current().shares
    except ValueError:
        shares = {}
    unknown = profiles.unknown.gestation_longest_days

    def of(dam: Animal | None) -> int:
        known = shares.get(dam.pk) if dam is not None else None
        return profiles.of(known).gestation_longest_days if known else unknown

    return of


def _pedigree_rows(gathered: Gathered) -> Iterator[tuple[Any, ...]]:
    """Parents who count; the others are told of elsewhere."""
    keys = {one.pk for one in gathered.counting}
    for animal in gathered.counting:
        possible = {
            sire: share
            for sire, share in gathered.possible_sires.get(animal.pk, {}).items()
            if sire in keys
        }
        sire = animal.sire_id if animal.sire_id in keys else None
        yield animal.pk, possible or sire, animal.dam_id if animal.dam_id in keys else None
