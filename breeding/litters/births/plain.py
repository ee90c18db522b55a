"""Many births at once: those that nothing refuses but what can be said of them beforehand."""

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from copy import copy
from dataclasses import dataclass, replace

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Prefetch, prefetch_related_objects

from breeding.animals.bulk import NewAnimal, RefusedError
from breeding.animals.models import Animal, Measurement, PossibleSire
from breeding.animals.parents.parentage import Parents
from breeding.animals.parents.together import Change, Changed, judge_changes, write_changes
from breeding.animals.services import checked_animals, write_animals
from breeding.housing.queries import where_are
from breeding.housing.stays.newborn import place_newborn
from breeding.litters.births.codes import LitterCodes
from breeding.litters.births.correcting import facts_of_day, is_as_born, refuse_too_near
from breeding.litters.births.facts import PupFacts, check_number
from breeding.litters.births.family import code_of, kind_of_birth
from breeding.litters.births.joining import check_may_join, parents_of_joined, pup_joined
from breeding.litters.births.measured import Asked, Sizes, size_of, sizes_of_pups, write_sizes
from breeding.litters.births.young import facts_of_animal
from breeding.litters.doubts import check_age, doubts_of_birth
from breeding.litters.models import Litter, Pup
from breeding.pairings.models import Outcome
from breeding.pairings.services import check_day_of
from breeding.program.acts.together import change_together, write_together
from breeding.program.models import Person
from breeding.program.parts import in_parts
from breeding.program.problems import constraints
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import clean_of_its_own, read_of


@dataclass(frozen=True)
class Birth:
    """A birth as it was written down: young on record that are of it, and its other pups."""

    dam: Animal
    born_on: datetime.date
    pups: tuple[PupFacts, ...]
    sire: Animal | None = None
    premature: bool = False
    note: str = ""
    young: tuple[Animal, ...] = ()
    sizes: tuple[Sizes, ...] = ()  # of each of the young


@dataclass(frozen=True)
class Draft:
    """What is written of a birth: its outcome with its litter, then the pups by their numbers.

    changes: what becomes of young on record that are not as it says yet. asked: what
    `record_birth` asks before it writes anything. refusal: what it would say first of it, whatever
    is written meanwhile.
    """

    birth: Birth
    litter: Litter
    pups: tuple[Pup, ...]
    changes: tuple[Change, ...] = ()
    asked: tuple[Doubt, ...] = ()
    refusal: ValidationError | None = None

    @property
    def living(self) -> list[Pup]:
        """Those that become animals with it."""
        return [pup for pup in self.pups if pup.alive and not pup.is_joined]


@dataclass(frozen=True)
class Recorded:
    """A birth that is written, and what would have been asked of it, one thing after the other."""

    litter: Litter
    asked: Asked


def plain_births(
    births: Sequence[Birth],
    *,
    besides: Sequence[Birth] = (),
    today: datetime.date,
    by: Person | None,
) -> list[Draft | None]:
    """What `record_plain` can write of each, or what refuses it; None: that is for `record_birth`.

    Each is looked at beside the litters on record and all the other births, whether they come
    before it or after. Young on record become pups, as they are or changed by it; those that are
    changed are no parents here, nor stems anybody else here from them; none of the other pups came
    on a later day. Whether all these can be the young of their parents `record_plain` says.
    besides: births that are written meanwhile.
    """
    drafts = _drafts(births, by)
    beside = _Beside(drafts, besides, today, by)
    return [beside.judged(draft) for draft in drafts]


class _Beside:
    """What is on record beside these births, and what is written meanwhile."""

    def __init__(
        self,
        drafts: Sequence[Draft],
        besides: Sequence[Birth],
        today: datetime.date,
        by: Person | None,
    ) -> None:
        self._today, self._by = today, by
        births = [*(draft.birth for draft in drafts), *besides]
        self._on_record: dict[int, list[Litter]] = defaultdict(list)
        counting = Litter.objects.filter(withdrawn_at__isnull=True)
        for litter in read_of(counting, "dam", (draft.birth.dam.pk for draft in drafts)):
            self._on_record[litter.dam_id].append(litter)
        self._meanwhile: dict[int, list[Litter]] = defaultdict(list)
        litters = (Litter(dam=one.dam, born_on=one.born_on) for one in besides)
        for litter in (*(draft.litter for draft in drafts), *litters):
            self._meanwhile[litter.dam_id].append(litter)
        self._named = Counter(one.pk for birth in births for one in birth.young)
        pups = read_of(Pup.objects.select_related("litter"), "animal", self._named)
        self._already = {pup.animal_id: pup for pup in pups}
        self._parents = {one.pk for birth in births for one in (birth.sire, birth.dam) if one}
        self._said: set[PupFacts] = set()  # that may be: of most only that they were born

    def judged(self, draft: Draft) -> Draft | None:
        """As `plain_births` has it."""
        birth, litter = draft.birth, draft.litter
        others = (one for one in self._meanwhile[birth.dam.pk] if one is not litter)
        try:
            refuse_too_near(birth.dam, birth.born_on, others)
        except ValidationError:
            return None
        try:
            self._check_first(draft)
        except ValidationError as problem:
            return replace(draft, refusal=problem)
        try:
            if not self._may_be(draft):
                return None
        except ValidationError:
            return None
        joined = (pup for pup in draft.pups if pup.is_joined)
        changes = tuple(one for pup in joined if (one := _change_of(pup, birth)))
        if any(one.animal.pk in self._parents for one in changes):
            return None
        asked = tuple(doubts_of_birth(birth.dam, birth.born_on, len(draft.pups)))
        return replace(draft, changes=changes, asked=asked)

    def _check_first(self, draft: Draft) -> None:
        """Raise ValidationError for what `record_birth` refuses before all else."""
        birth = draft.birth
        check_number(len(draft.pups))
        refuse_too_near(birth.dam, birth.born_on, self._on_record[birth.dam.pk])
        check_age(birth.dam, birth.born_on)

    def _may_be(self, draft: Draft) -> bool:
        """Whether nothing else is to be said of it. Raises ValidationError where it cannot be."""
        birth, litter = draft.birth, draft.litter
        check_day_of(birth.dam, birth.born_on, self._today)
        clean_of_its_own(litter.outcome)
        clean_of_its_own(litter)
        if not all(self._may_join(pup, birth) for pup in draft.pups if pup.is_joined):
            return False
        if not all(self._may_be_born(facts, litter) for facts in birth.pups):
            return False
        for row in _sizes_of_young(draft, self._by):
            clean_of_its_own(row)
        return True

    def _may_join(self, pup: Pup, birth: Birth) -> bool:
        animal = pup.animal
        if animal is None or self._named[animal.pk] > 1:
            return False
        check_may_join(animal, birth.born_on, self._already.get(animal.pk))
        clean_of_its_own(pup)
        return True

    def _may_be_born(self, facts: PupFacts, litter: Litter) -> bool:
        if facts not in self._said:
            clean_of_its_own(_pup(facts, litter, 1, self._by))
            self._said.add(facts)
        return facts.born_on is None


def _change_of(pup: Pup, birth: Birth) -> Change | None:
    """What becomes of one on record that is not as the birth says yet."""
    animal, family = pup.animal, Parents(birth.sire, birth.dam)
    if animal is None:
        return None
    theirs = parents_of_joined(animal, family, keeps_its_sires=False)
    if is_as_born(animal, birth.born_on, theirs):
        return None
    return Change(animal, theirs, facts_of_day(animal, pup, birth.born_on))


class NotPlainError(Exception):
    """Nothing was written, since these births are for `record_birth`: their places in the list."""

    def __init__(self, places: Iterable[int]) -> None:
        self.places = frozenset(places)
        super().__init__(*sorted(self.places))


@transaction.atomic
def record_plain(drafts: Sequence[Draft], *, by: Person | None) -> list[Recorded]:
    """Record these births, which are plain, in few statements; as `record_birth` would each.

    What is asked of them is for the caller to ask. Raises NotPlainError where pups or those on
    record cannot be the young of their parents, and ValidationError.
    """
    codes, litters = LitterCodes(), [draft.litter for draft in drafts]
    for litter in litters:
        litter.code = codes.next(litter.born_on)
    rows, changed = _checked_animals(drafts), _checked_changes(drafts)
    with constraints.named():
        write_together([litter.outcome for litter in litters])
        write_together(litters)
        write_changes(changed)
        animals = write_animals(rows, by=by) if rows else {}
        for key, pup in enumerate((pup for draft in drafts for pup in draft.living), start=1):
            pup.animal = animals[key]
        _place(drafts, by)
        write_together([pup for draft in drafts for pup in draft.pups])
        _settle_kinds(drafts)
        asked = write_sizes(
            [[*sizes_of_pups(one.living, by), *_sizes_of_young(one, by)] for one in drafts]
        )
    return [
        Recorded(draft.litter, (draft.asked, *of_sizes))
        for draft, of_sizes in zip(drafts, asked, strict=True)
    ]


def _drafts(births: Sequence[Birth], by: Person | None) -> list[Draft]:
    codes, young = LitterCodes(), _as_on_record(births)
    found = []
    for birth in births:
        outcome = Outcome(
            female=birth.dam,
            on=birth.born_on,
            kind=kind_of_birth([pup.alive for pup in birth.pups], premature=birth.premature),
            recorded_by=by,
        )
        litter = Litter(
            code=codes.next(birth.born_on),
            dam=birth.dam,
            born_on=birth.born_on,
            outcome=outcome,
            note=birth.note.strip(),
            recorded_by=by,
        )
        joined = [
            pup_joined(litter, number, young[one.pk], by)
            for number, one in enumerate(birth.young, start=1)
        ]
        others = [
            _pup(facts, litter, number, by)
            for number, facts in enumerate(birth.pups, start=len(joined) + 1)
        ]
        found.append(Draft(birth, litter, (*joined, *others)))
    return found


def _as_on_record(births: Sequence[Birth]) -> dict[int, Animal]:
    """The young on record, read with their parents: a few queries."""
    keys = [one.pk for birth in births for one in birth.young]
    found = {one.pk: one for one in read_of(Animal.every.all(), "pk", keys)}
    for birth in births:
        for one in birth.young:
            if found[one.pk].dam_id == birth.dam.pk:
                found[one.pk].dam = birth.dam
    sires = Prefetch("possible_sires", PossibleSire.objects.select_related("sire"))
    for part in in_parts(list(found.values())):
        prefetch_related_objects(part, "sire", "dam", sires)
    return found


def _pup(facts: PupFacts, litter: Litter, number: int, by: Person | None) -> Pup:
    return Pup(
        litter=litter,
        number=number,
        alive=facts.alive,
        sex=facts.sex,
        disc_width_mm=facts.disc_width_mm,
        weight_g=facts.weight_g,
        yolk=facts.yolk,
        markings=facts.markings.strip(),
        recorded_by=by,
    )


def _checked_animals(drafts: Sequence[Draft]) -> list[NewAnimal]:
    """A row of each pup that becomes an animal, under its number among them."""
    living = [(at, draft, pup) for at, draft in enumerate(drafts) for pup in draft.living]
    rows = [
        NewAnimal(
            key=key,
            code=code_of(pup.litter, pup.number),
            facts=facts_of_animal(pup),
            sire=draft.birth.sire,
            dam=draft.birth.dam,
        )
        for key, (_, draft, pup) in enumerate(living, start=1)
    ]
    try:
        return checked_animals(rows) if rows else []
    except RefusedError as refused:
        keys = {key for one in refused.refusals for key in one.keys}
        raise NotPlainError(living[key - 1][0] for key in keys) from None


def _settle_kinds(drafts: Sequence[Draft]) -> None:
    """Of those of which one on record was dead that day: as `settle_kind` says it afterwards."""
    changed = []
    for draft in drafts:
        outcome, fates = draft.litter.outcome, [pup.alive for pup in draft.pups]
        kind = kind_of_birth(fates, premature=draft.birth.premature)
        if kind != outcome.kind:
            before, outcome.kind = copy(outcome), kind
            changed.append((before, outcome))
    change_together(changed, ["kind"])


def _sizes_of_young(draft: Draft, by: Person | None) -> list[Measurement]:
    """What was measured of those on record on the day of the birth."""
    joined = (pup.animal for pup in draft.pups if pup.animal is not None and pup.is_joined)
    return [
        size_of(one, draft.birth.born_on, sizes, by)
        for one, sizes in zip(joined, draft.birth.sizes, strict=False)
        if any(sizes.values())
    ]


def _checked_changes(drafts: Sequence[Draft]) -> list[Changed]:
    changes = [(at, one) for at, draft in enumerate(drafts) for one in draft.changes]
    judged = judge_changes([one for _, one in changes]) if changes else []
    if others := {at for (at, _), one in zip(changes, judged, strict=True) if one is None}:
        raise NotPlainError(others)
    return [one for one in judged if one is not None]


def _place(drafts: Sequence[Draft], by: Person | None) -> None:
    """Those that became animals with their dam, as far as she is in a tank."""
    there = where_are([draft.birth.dam for draft in drafts])
    young = (
        (pup.animal, stay)
        for draft in drafts
        for pup in draft.living
        if pup.animal is not None and (stay := there.get(draft.birth.dam.pk)) is not None
    )
    place_newborn(young, by=by)
