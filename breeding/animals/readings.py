"""Questions about animals that gather several rows for a page; they write nothing."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.safestring import SafeString

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.profiles import all_profiles
from breeding.animals.trees import paths_svg
from breeding.animals.words import ancestry, closeness, inbreeding_words, is_hybrid
from breeding.program.formats import joined, percent
from pedigree import Explanation, Unrecorded, completeness, explain
from pedigree.words import explanation_sentences

LONGEST_IN_SDS = 3
GENERATIONS = 3


def gestation_longest_days(dam: Animal | None) -> int:
    """The longest gestation to allow for: the profile's mean and three standard deviations."""
    profiles = all_profiles()
    figures = profiles.unknown
    if dam is not None and dam.pk is not None:
        figures = profiles.of(lineage.current().shares.get(dam.pk, {}))
    mean = figures.get("gestation_mean_days", 115.0)
    return math.ceil(mean + LONGEST_IN_SDS * figures.get("gestation_sd_days", 20.0))


def species_names() -> Mapping[int, str]:
    """Short names by key."""
    return all_profiles().names


def animal_rows(queryset: QuerySet[Animal]) -> list[dict[str, Any]]:
    """Rows for the list of animals: one query, F and species from the lineage."""
    known = lineage.current()
    states = dict(Animal.State.choices)
    fields = ("pk", "code", "call_name", "sex", "born_on", "born_precision", "state", "portrait_id")
    rows: list[dict[str, Any]] = []
    for row in queryset.order_by("call_name", "code").values(*fields):
        row["address"] = reverse("animals:detail", args=[row["pk"]])
        row["sort_name"] = (not row["call_name"], (row["call_name"] or row["code"]).casefold())
        row["born_key"] = row["born_on"].isoformat() if row["born_on"] else ""
        row["inbreeding"] = known.inbreeding.get(row["pk"], 0.0)
        row["shares"] = known.shares.get(row["pk"], {})
        row["state_words"] = states[row["state"]]
        rows.append(row)
    return rows


@dataclass(frozen=True)
class KnownAncestry:
    """How much of the ancestry is known over some generations."""

    known: int
    possible: int
    by_generation: tuple[float, ...]


def known_ancestry(animal_pk: int, generations: int = GENERATIONS) -> KnownAncestry:
    """How many of the possible ancestors in these generations are known (3 generations: of 14)."""
    by_generation = [float(part) for part in completeness(_pedigree(), animal_pk, generations)]
    known = sum(round(part * 2**g) for g, part in enumerate(by_generation, start=1))
    return KnownAncestry(known, 2 ** (generations + 1) - 2, tuple(by_generation))


def _pedigree() -> Any:
    return lineage.current().pedigree


@dataclass(frozen=True)
class PairWords:
    """The expected F of the young of two animals, with its reasons in sentences and a picture."""

    inbreeding: Fraction
    percent: str
    closeness: str
    sentences: tuple[str, ...]
    picture: SafeString
    known: KnownAncestry
    words: str


MOST_ANCESTORS = 6


def pair_words(sire: Animal, dam: Animal) -> PairWords:
    """Why the young of these two would be inbred, largest part first, the rest summed."""
    found: Explanation = explain(_pedigree(), sire.pk, dam.pk)
    shown = found.ancestors[:MOST_ANCESTORS]
    keys = {key for one in shown for key in _animals_behind(one.id)}
    animals = {one.pk: one for one in Animal.objects.filter(pk__in=keys)} if keys else {}
    names = {one.id: _name_of(one.id, animals) for one in shown}
    names |= {sire.pk: sire.name, dam.pk: dam.name}
    known = _known_of_pair(sire.pk, dam.pk)
    return PairWords(
        inbreeding=found.inbreeding,
        percent=percent(found.inbreeding),
        closeness=closeness(found.inbreeding),
        sentences=explanation_sentences(found, names, most=MOST_ANCESTORS) if shown else (),
        picture=paths_svg(sire, dam) if shown else SafeString(""),
        known=known,
        words=inbreeding_words(found.inbreeding, known.known, known.possible),
    )


def _animals_behind(ancestor: int | Unrecorded) -> tuple[int, ...]:
    return ancestor.young if isinstance(ancestor, Unrecorded) else (ancestor,)


def _name_of(ancestor: int | Unrecorded, animals: dict[int, Animal]) -> str:
    names = [animals[key].name for key in _animals_behind(ancestor)]
    if isinstance(ancestor, Unrecorded):
        return f"the unknown {ancestor.role} of {joined(names)}"
    return names[0]


def _known_of_pair(sire_pk: int, dam_pk: int) -> KnownAncestry:
    """Known ancestors of the young to be: its two parents, and theirs."""
    sides = [known_ancestry(pk, GENERATIONS - 1) for pk in (sire_pk, dam_pk)]
    shares = tuple(sum(parts) / 2 for parts in zip(*(s.by_generation for s in sides), strict=True))
    return KnownAncestry(
        2 + sum(side.known for side in sides), 2 ** (GENERATIONS + 1) - 2, (1.0, *shares)
    )


@dataclass(frozen=True)
class AncestryWords:
    """Species, F and how much is known, for one animal's page."""

    species: str
    is_hybrid: bool
    inbreeding: float
    inbreeding_words: str
    closeness: str
    reasons: PairWords | None


def ancestry_words(animal: Animal) -> AncestryWords:
    """What an animal's page says of its ancestry; constant number of queries."""
    known = lineage.current()
    inbreeding = known.inbreeding[animal.pk]
    ancestors = known_ancestry(animal.pk)
    shares = known.shares[animal.pk]
    reasons = None
    if inbreeding and animal.sire is not None and animal.dam is not None:
        reasons = pair_words(animal.sire, animal.dam)
    return AncestryWords(
        species=ancestry(shares, species_names()),
        is_hybrid=is_hybrid(shares),
        inbreeding=inbreeding,
        inbreeding_words=inbreeding_words(inbreeding, ancestors.known, ancestors.possible),
        closeness=closeness(inbreeding),
        reasons=reasons,
    )


def young_of(animal: Animal) -> Iterable[Animal]:
    """Everyone whose recorded sire, dam or possible sire it is, oldest first."""
    return (
        (
            Animal.objects.filter(sire=animal)
            | Animal.objects.filter(dam=animal)
            | Animal.objects.filter(possible_sires__sire=animal)
        )
        .distinct()
        .order_by("born_on", "code")
    )
