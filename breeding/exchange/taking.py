"""A signed file taken into the records: who is known already, who is new, what differs."""

import base64
import datetime
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.bulk import NewAnimal, Parent
from breeding.animals.mending.withdrawing import (
    bring_back_animal,
    resting_on_animal,
    withdraw_animal,
)
from breeding.animals.models import Animal, Species
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import change_animal, parents_of, register_animals
from breeding.exchange.ancestry import Claim, Word
from breeding.exchange.ancestry.claims import code_of, key_of
from breeding.exchange.ancestry.rows import A_DAY
from breeding.exchange.keys.heard import hear
from breeding.exchange.keys.reading import known_lines, names_of, said_of_word
from breeding.exchange.models import KnownAs, TakenAncestry
from breeding.exchange.updates import (
    Sure,
    Update,
    bring_back_updates,
    take_back_updates,
    updates_of,
    write_updates,
)
from breeding.program import clock
from breeding.program.models import Person
from breeding.program.services import bring_back, withdraw
from breeding.words.language import message, tell

Date = datetime.date
OF_LETTERS = {10: Animal.Precision.DAY, 7: Animal.Precision.MONTH, 4: Animal.Precision.YEAR}
DIFFERS = {
    "sex": message("sex"),
    "born": message("born"),
    "sire": message("sire"),
    "dam": message("dam"),
    "died": message("died"),
}


@dataclass(frozen=True)
class Difference:
    """The file says one thing of an animal and the records another."""

    animal: Animal
    fact: str
    here: str
    there: str

    @property
    def fact_words(self) -> str:
        return tell(DIFFERS[self.fact])


@dataclass(frozen=True)
class Planned:
    """What taking a file would do: who is known, who would be written down, what differs.

    given: known animals that have no parents on record and would get those of the file.
    """

    word: Word
    known: Mapping[str, Animal]
    new: tuple[Claim, ...]
    differences: tuple[Difference, ...]
    unknown_species: tuple[str, ...]
    updates: tuple[Update, ...] = ()
    given: tuple[Animal, ...] = ()


def planned(word: Word, own_key: str, told: Mapping[str, Animal] | None = None) -> Planned:
    """What taking this file would do; `told`: who an identity is, as the keeper says.

    A constant number of queries.
    """
    known = {**recognised(word, own_key), **(told or {})}
    new = tuple(claim for claim in word.claims if claim.identity not in known)
    names = {name for claim in new for name, _ in claim.species}
    on_record = set(
        Species.objects.filter(accepted_name__in=names).values_list("accepted_name", flat=True)
    )
    return Planned(
        word,
        known,
        new,
        tuple(_differences(word, known)),
        tuple(sorted(names - on_record)),
        tuple(updates_of(word, known, clock.today())),
        tuple(_without_parents(word, known)),
    )


def _without_parents(word: Word, known: Mapping[str, Animal]) -> list[Animal]:
    """Animals on record of which a parent is not, while the file names it."""
    found = {}
    for claim in word.claims:
        animal = known.get(claim.identity)
        if animal is not None and (
            (claim.dam and animal.dam_id is None) or (claim.sires and animal.sire_id is None)
        ):
            found[animal.pk] = animal
    return list(found.values())


def recognised(word: Word, own_key: str) -> dict[str, Animal]:
    """Animals of the file that are on record: own ones by their code, others by earlier files.

    A program that has changed its key is the same one.
    """
    lines = known_lines(own_key).with_words(word.keys, [word.key])
    wanted: dict[str, set[str]] = {}
    for claim in word.claims:
        for one in (claim.identity, *claim.also):
            for name in names_of(one, lines):
                wanted.setdefault(name, set()).add(claim.identity)
    codes: dict[str, set[str]] = {}
    for name, claimed in wanted.items():
        if own_key and lines.is_one(key_of(name), own_key):
            codes.setdefault(code_of(name), set()).update(claimed)
    found: dict[str, Animal] = {}
    for animal in Animal.objects.filter(code__in=codes).select_related("sire", "dam"):
        for one in codes[animal.code]:
            found[one] = animal
    earlier = KnownAs.objects.filter(
        identity__in=wanted, taken__withdrawn_at__isnull=True, animal__withdrawn_at__isnull=True
    )
    rows = earlier.select_related("animal__sire", "animal__dam")
    for known in rows.order_by("-pk"):
        for one in wanted[known.identity]:
            found.setdefault(one, known.animal)
    return found


def _differences(word: Word, known: Mapping[str, Animal]) -> list[Difference]:
    found = []
    for claim in word.claims:
        animal = known.get(claim.identity)
        if animal is None:
            continue
        if claim.sex != "U" and animal.sex not in ("U", claim.sex):
            sexes = dict(Animal.Sex.choices)
            found.append(Difference(animal, "sex", str(sexes[animal.sex]), str(sexes[claim.sex])))
        if claim.born and animal.born_on and not _agrees(claim.born, animal):
            found.append(Difference(animal, "born", animal.born_on.isoformat(), claim.born))
        if claim.died and len(claim.died) < A_DAY and animal.state != Animal.State.DIED:
            found.append(Difference(animal, "died", str(animal.get_state_display()), claim.died))
        sire = claim.sires[0][0] if len(claim.sires) == 1 and claim.sires[0][1] == 1 else ""
        for fact, there, here in (
            ("sire", sire, animal.sire),
            ("dam", claim.dam, animal.dam),
        ):
            other = known.get(there)
            if there and here is not None and (other is None or other.pk != here.pk):
                said = other.name if other is not None else code_of(there)
                found.append(Difference(animal, fact, here.name, said))
    return found


def _agrees(born: str, animal: Animal) -> bool:
    """Whether two birthdays can be the same day, as far as each is known."""
    letters = {"day": 10, "month": 7, "year": 4}.get(animal.born_precision, 0)
    least = min(letters, len(born))
    assert animal.born_on is not None  # noqa: S101 - asked only of those with a birthday
    return animal.born_on.isoformat()[:least] == born[:least]


@transaction.atomic
def take(
    word: Word,
    content: bytes,
    own_key: str,
    *,
    by: Person | None,
    told: Mapping[str, Animal] | None = None,
    note: str = "",
    updates: Collection[str] = (),
) -> TakenAncestry:
    """Write down who is new in a file, and by which names everybody in it is known.

    updates: marks of what is to be written down of animals on record; see `updates_of`.

    Animals known already are never written twice and keep what is on record of them; parents that
    are not on record are taken over. Raises ValidationError, in words, and nothing is written.
    """
    if TakenAncestry.objects.filter(digest=word.digest).exists():
        raise ValidationError(tell("This file was taken already; nothing was written twice."))
    said = said_of_word(word)
    lines = known_lines(own_key).with_words(word.keys, [word.key])
    if lines.is_disowned(word.key, word.issued_on):
        raise ValidationError(said.words)
    plan = planned(word, own_key, told)
    kept = TakenAncestry.objects.create(
        file_base64=base64.b64encode(content).decode(),
        digest=word.digest,
        key=word.key,
        issuer=word.issuer,
        issued_on=Date.fromisoformat(word.issued_on) if len(word.issued_on) == 10 else None,
        note=note,
        recorded_by=by,
    )
    written = _write_new(plan, by)
    everybody = {**plan.known, **written}
    _take_over_parents(plan, everybody)
    for claim in word.claims:
        for one in dict.fromkeys((claim.identity, *claim.also)):
            if not own_key or not lines.is_one(key_of(one), own_key):
                KnownAs.objects.create(
                    taken=kept,
                    animal=everybody[claim.identity],
                    identity=one,
                    is_new=claim.identity in written,
                )
    hear(word.keys, by=by)
    write_updates(kept, plan.updates, updates, by=by)
    return kept


def _write_new(plan: Planned, by: Person | None) -> dict[str, Animal]:
    keys = {claim.identity: number for number, claim in enumerate(plan.new, start=1)}
    species = {one.accepted_name: one for one in Species.objects.all()}

    def parent(one: str) -> Parent | None:
        return plan.known.get(one) or keys.get(one)

    rows = []
    for claim in plan.new:
        sires = [(found, share) for one, share in claim.sires if (found := parent(one))]
        is_certain = len(sires) == 1 and sires[0][1] == 1
        shares = {species[name]: share for name, share in claim.species if name in species}
        rows.append(
            NewAnimal(
                key=keys[claim.identity],
                code=f"{code_of(claim.identity)[:50]}-{key_of(claim.identity)[:4]}",
                facts=_facts_of(claim),
                sire=sires[0][0] if is_certain else None,
                dam=parent(claim.dam) if claim.dam else None,
                possible_sires=() if is_certain else tuple(sires),
                species_shares=shares or None,
            )
        )
    try:
        written = register_animals(rows, by=by, sure=Sure()) if rows else {}
    except ValidationError as problem:
        raise ValidationError(
            tell("It cannot be taken: {problem}", problem=" ".join(problem.messages))
        ) from None
    return {one: written[number] for one, number in keys.items()}


def _facts_of(claim: Claim) -> dict[str, object]:
    facts: dict[str, object] = {
        "sex": claim.sex,
        "call_name": claim.name,
        "state": Animal.State.DIED if claim.died else Animal.State.LEFT,
        "origin": Animal.Origin.WILD if claim.is_wild else Animal.Origin.BRED_ELSEWHERE,
    }
    if claim.born:
        facts["born_on"] = Date.fromisoformat((claim.born + "-01-01")[:10])
        facts["born_precision"] = OF_LETTERS[len(claim.born)]
    if len(claim.died) == 10:
        facts["state_on"] = Date.fromisoformat(claim.died)
    return facts


def _take_over_parents(plan: Planned, everybody: Mapping[str, Animal]) -> None:
    """Parents of animals on record that were not written down here are taken from the file."""
    for claim in plan.word.claims:
        animal = plan.known.get(claim.identity)
        if animal is None:
            continue
        before = parents_of(animal)
        sires = tuple((everybody[one], share) for one, share in claim.sires if one in everybody)
        has_sire = before.sire is not None or before.possible_sires
        is_certain = len(sires) == 1 and sires[0][1] == Fraction(1)
        parents = Parents(
            sire=before.sire if has_sire else (sires[0][0] if is_certain else None),
            dam=before.dam or everybody.get(claim.dam),
            possible_sires=before.possible_sires if has_sire or is_certain else sires,
        )
        if parents != before:
            change_animal(animal, parents=parents)


@transaction.atomic
def withdraw_taken(
    taken: TakenAncestry, *, by: Person, now: datetime.datetime, reason: str
) -> None:
    """Take back everything that came with a file: parents, updates, and animals it wrote down.

    Raises ValidationError while records made since rest on one of these animals.
    """
    new = list(
        Animal.objects.filter(
            pk__in=taken.names.filter(is_new=True).values_list("animal_id", flat=True)
        )
    )
    pks = {one.pk for one in new}
    take_back_updates(taken, by=by, now=now, reason=reason)
    _give_back_parents(pks)
    while new:
        free = [one for one in new if not resting_on_animal(one)]
        if not free:
            first = new[0]
            withdraw_animal(first, by=by, now=now, reason=reason)  # says what rests on it
        for one in free:
            withdraw_animal(one, by=by, now=now, reason=reason)
        gone = {one.pk for one in free}
        new = [one for one in new if one.pk not in gone]
    withdraw(taken, by=by, now=now, reason=reason)


@transaction.atomic
def bring_back_taken(
    taken: TakenAncestry, word: Word, own_key: str, *, by: Person | None = None
) -> None:
    """Let a file that was withdrawn count again: its animals, and the parents it gave.

    Raises ValidationError where it was taken again meanwhile, or an animal cannot come back.
    """
    if TakenAncestry.objects.filter(digest=taken.digest).exists():
        raise ValidationError(tell("This file was taken again meanwhile; that one counts."))
    names = list(taken.names.select_related("animal").order_by("pk"))
    left = {one.animal_id: one.animal for one in names if one.animal.is_withdrawn}
    while left:
        free = [
            animal
            for animal in left.values()
            if not ({animal.sire_id, animal.dam_id} & left.keys())
        ]
        for animal in free:
            bring_back_animal(animal)
            del left[animal.pk]
    bring_back(taken)
    everybody = {one.identity: Animal.objects.get(pk=one.animal_id) for one in names}
    _take_over_parents(planned(word, own_key), {**recognised(word, own_key), **everybody})
    bring_back_updates(taken, word, by=by)


def _give_back_parents(pks: set[int]) -> None:
    """Animals of one's own, whose parents came with the file, have unknown ones again."""
    young = Animal.objects.exclude(pk__in=pks)
    for one in [
        *young.filter(sire__in=pks),
        *young.filter(dam__in=pks),
        *young.filter(possible_sires__sire__in=pks),
    ]:
        before = parents_of(one)
        change_animal(
            one,
            parents=Parents(
                sire=None if before.sire and before.sire.pk in pks else before.sire,
                dam=None if before.dam and before.dam.pk in pks else before.dam,
                possible_sires=tuple(
                    (sire, share) for sire, share in before.possible_sires if sire.pk not in pks
                ),
            ),
        )
