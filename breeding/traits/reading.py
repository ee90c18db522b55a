"""The chances of everybody on record, of one trait: reckoned once, kept while nothing changes."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.program.unchanged.values import kept_while_unchanged
from breeding.traits.inheritance import (
    NOTHING,
    TESTS,
    Belief,
    Likelihoods,
    among_founders,
    both,
)
from breeding.traits.models import Trait, TraitLook
from pedigree import (
    Contradiction,
    Pedigree,
    SexLinked,
    TooTangled,
    genotype_chances,
    sampled_chances,
)

MOST_MEGABYTES = 24.0  # of tables while a page waits; beyond it is sampled
CHAINS, SWEEPS = 16, 30  # so that the error of a chance is hardly ever above three points
SEED = 20_26  # the same records give the same answer
SAME = 1e-9
HERE = (Animal.State.HERE, Animal.State.ON_LOAN)


@dataclass(frozen=True)
class Looked:
    """What was seen of a trait on one animal: the latest look that tells, and the latest test."""

    seen: str
    test: str
    says: Likelihoods

    @property
    def is_impossible(self) -> bool:
        """Whether its own look and test contradict each other."""
        return not any(self.says)


@dataclass(frozen=True)
class Evidence:
    """Everything that was seen of a trait, as the arithmetic wants it."""

    belief: Belief
    looked: Mapping[int, Looked]
    sexes: Mapping[int, str]  # of a sex-linked trait: who is female, who is male
    puzzling: tuple[int, ...]  # seen, and of unknown sex: a sex-linked trait cannot be told by it

    def pedigree(self, *more: int) -> Pedigree:
        """Those here, those on whom something was seen, these, and everyone they stem from.

        Young that went or died, unseen and without young of their own, bear on nobody.
        """
        here = Animal.objects.filter(state__in=HERE).values_list("pk", flat=True)
        return lineage.current().behind(*{*here, *self.looked, *more}).pedigree

    @property
    def says(self) -> dict[int, Likelihoods]:
        """What tells copies apart, by animal."""
        counted = {key: one.says for key, one in self.looked.items() if key not in self.puzzling}
        return {key: says for key, says in counted.items() if says != NOTHING}

    @property
    def sex_linked(self) -> SexLinked | None:
        females = [key for key, sex in self.sexes.items() if sex == Animal.Sex.FEMALE]
        males = [key for key, sex in self.sexes.items() if sex == Animal.Sex.MALE]
        return self.belief.sexes(females, males)

    def has_one_copy(self, animal: int) -> bool:
        return self.belief.has_one_copy(self.sexes.get(animal, ""))


def belief_of(trait: Trait) -> Belief:
    """How it is believed to be inherited, without the record."""
    return Belief(trait.inheritance, trait.one_copy, float(trait.founder_share))


def evidence_of(trait: Trait, belief: Belief | None = None) -> Evidence:
    """Everything seen of it on animals that count; under another belief, where one is given."""
    belief = belief or belief_of(trait)
    ped = lineage.current().pedigree
    sexes = _sexes(ped) if belief.is_sex_linked else {}
    rows: dict[int, list[Any]] = {}
    looks = TraitLook.objects.filter(trait=trait).order_by("on", "pk")
    for animal, seen, sure in looks.values_list("animal_id", "what", "sure_percent"):
        rows.setdefault(animal, []).append((seen, 1 - sure / 100))
    found = {
        animal: _together(belief, seen, belief.has_one_copy(sexes.get(animal, "")))
        for animal, seen in rows.items()
        if animal in ped
    }
    puzzling = [key for key in found if belief.is_sex_linked and key not in sexes]
    return Evidence(belief, found, sexes, tuple(puzzling))


def _together(belief: Belief, rows: list[tuple[str, float]], has_one_copy: bool) -> Looked:
    """A later look takes the place of an earlier one, a later test that of an earlier test."""
    seen = test = ""
    of_look = of_test = NOTHING
    for what, mistaken in rows:
        says = belief.said_by(what, mistaken=mistaken, has_one_copy=has_one_copy)
        if what in TESTS:
            test, of_test = what, says
        else:
            seen, of_look = what, says
    return Looked(seen, test, both(of_look, of_test))


def _sexes(ped: Pedigree) -> dict[int, str]:
    """Females and males: as recorded, and as the parts they play."""
    known = Animal.objects.exclude(sex=Animal.Sex.UNKNOWN).values_list("pk", "sex")
    found = dict(known)
    for animal in ped.ids:
        dam = ped.dam(animal)
        found |= {sire: Animal.Sex.MALE for sire in ped.sires(animal) if sire not in found}
        if dam is not None and dam not in found:
            found[dam] = Animal.Sex.FEMALE
    return found


@dataclass(frozen=True)
class Standing:
    """What is known of everybody, as it is kept: plain numbers only.

    Empty of animals where nothing was seen, or where what was seen cannot be.
    """

    animals: bytes = b""  # int64 (n,), ascending
    table: bytes = b""  # float64 (n, 3)
    errors: bytes = b""  # float64 (n, 3); empty where the chances are exact
    single: bytes = b""  # bool (n,): has the gene once at most
    looked: Mapping[int, tuple[str, str]] = field(default_factory=dict)
    contradicting: tuple[int, ...] = ()
    puzzling: tuple[int, ...] = ()
    together: int = 0  # how many would have to be thought of at once; 0: it is exact


class Reading:
    """The chances of one trait, of those here, those seen and everyone they stem from."""

    def __init__(self, trait: Trait, standing: Standing) -> None:
        self.trait, self._standing = trait, standing
        self.belief = belief_of(trait)
        self._animals = np.frombuffer(standing.animals, np.int64)
        self._table = np.frombuffer(standing.table, np.float64).reshape(-1, 3)
        self._errors = np.frombuffer(standing.errors, np.float64).reshape(-1, 3)
        self._single = np.frombuffer(standing.single, np.bool_)

    @property
    def contradicting(self) -> tuple[int, ...]:
        """Animals on whom what was seen cannot all be."""
        return self._standing.contradicting

    @property
    def puzzling(self) -> tuple[int, ...]:
        return self._standing.puzzling

    @property
    def together(self) -> int:
        return self._standing.together

    @property
    def is_blank(self) -> bool:
        """Nothing was seen on anybody that tells anything."""
        return not self._standing.animals and not self.contradicting

    @property
    def is_exact(self) -> bool:
        return not len(self._errors)

    @property
    def animals(self) -> npt.NDArray[np.int64]:
        return self._animals

    def looked(self, animal: int) -> tuple[str, str]:
        """What was seen on it last, and what a test said; empty where nobody looked."""
        return dict(self._standing.looked).get(animal, ("", ""))

    def _at(self, animal: int) -> int | None:
        at = int(np.searchsorted(self._animals, animal))
        return at if at < len(self._animals) and self._animals[at] == animal else None

    def chances(self, animal: int) -> Likelihoods | None:
        """Of 0, 1, 2 copies; None where they are not reckoned."""
        at = self._at(animal)
        if at is None:
            return None
        zero, one, two = self._table[at].tolist()
        return (zero, one, two)

    def error(self, animal: int) -> float:
        """The standard error of its chances; 0 where they are exact."""
        at = self._at(animal)
        return 0.0 if at is None or self.is_exact else float(self._errors[at].max())

    def has_one_copy(self, animal: int) -> bool:
        at = self._at(animal)
        return at is not None and bool(len(self._single)) and bool(self._single[at])

    def says_nothing_of(self, animal: int) -> bool:
        """Whether its chances are those of any founder: nothing that was seen bears on it."""
        chances = self.chances(animal)
        if chances is None:
            return True
        share = self.belief.founder_share
        before = among_founders(self.belief)
        if self.has_one_copy(animal):
            before = (1 - share, share, 0.0)
        near = max(SAME, 3 * self.error(animal))
        return self.looked(animal) == ("", "") and all(
            math.isclose(a, b, abs_tol=near) for a, b in zip(chances, before, strict=True)
        )

    def has_it(self, animal: int) -> float:
        """The chance that it has the gene at all."""
        chances = self.chances(animal)
        return 0.0 if chances is None else 1 - chances[0]

    @property
    def assumed(self) -> float:
        """The same of any founder, by what is assumed."""
        return 1 - among_founders(self.belief)[0]

    @cached_property
    def ranked(self) -> list[int]:
        """Everybody of whom something is known: by the chance to have it, then to show it."""
        one = self._single if len(self._single) else np.zeros(len(self._animals), np.bool_)
        hidden = (self.belief.kind == "recessive") & ~one
        shows = np.where(hidden, self._table[:, 2], self._table[:, 1] + self._table[:, 2])
        has = 1 - self._table[:, 0]
        order = np.lexsort((self._animals, -np.round(shows, 12), -np.round(has, 12)))
        return [key for key in self._animals[order].tolist() if not self.says_nothing_of(key)]


def reading_of(trait: Trait) -> Reading:
    """The chances of everybody; they cost nothing again until a look or a parent changes."""
    belief = (trait.inheritance, trait.one_copy, str(trait.founder_share))
    standing = kept_while_unchanged(
        ("traits", trait.pk, *belief), lambda: _stand(evidence_of(trait))
    )
    return Reading(trait, standing)


def _stand(evidence: Evidence) -> Standing:
    looked = {key: (one.seen, one.test) for key, one in evidence.looked.items()}
    said = Standing(looked=looked, puzzling=evidence.puzzling)
    alone = [key for key, one in evidence.looked.items() if one.is_impossible]
    if alone:
        return replace(said, contradicting=tuple(alone))
    if not evidence.says:
        return said
    try:
        return _chances(evidence, said)
    except Contradiction as problem:
        named: tuple[Any, ...] = problem.animals
        return replace(said, contradicting=named)


def _chances(evidence: Evidence, said: Standing) -> Standing:
    ped = evidence.pedigree()
    asked: dict[str, Any] = {
        "frequency": evidence.belief.founder_share,
        "sex_linked": evidence.sex_linked,
    }
    errors: Mapping[int, Any] = {}
    together = 0
    try:
        chances = genotype_chances(ped, evidence.says, most_megabytes=MOST_MEGABYTES, **asked)
    except TooTangled as problem:
        rng = np.random.default_rng(SEED)
        sampled = sampled_chances(
            ped, evidence.says, rng=rng, chains=CHAINS, sweeps=SWEEPS, **asked
        )
        chances, errors, together = dict(sampled.chances), sampled.errors, problem.together
    keys = sorted(chances)
    return replace(
        said,
        animals=np.array(keys, np.int64).tobytes(),
        table=np.array([chances[key] for key in keys]).tobytes(),
        errors=np.array([errors[key] for key in keys]).tobytes() if errors else b"",
        single=_singles(evidence, keys),
        together=together,
    )


def _singles(evidence: Evidence, keys: list[int]) -> bytes:
    if not evidence.belief.is_sex_linked:
        return b""
    return np.array([evidence.has_one_copy(key) for key in keys], np.bool_).tobytes()
