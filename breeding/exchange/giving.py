"""What this program says of an animal and its ancestors, from its records, fit to be given."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from django.db.models import Q

from breeding.animals.models import Animal, Measurement, PossibleSire, SpeciesShare
from breeding.exchange.ancestry import Claim, Word, write_word
from breeding.exchange.ancestry.claims import Shares, identity, key_of
from breeding.exchange.ancestry.reading import MOST_SIZES, SPOT_PARTS
from breeding.exchange.ancestry.writing import document_of
from breeding.exchange.keys.own import own_key
from breeding.exchange.keys.reading import known_lines, passed_on
from breeding.exchange.models import KnownAs
from breeding.identity.models import PatternReading
from breeding.program.queries import the_program

LETTERS = {Animal.Precision.DAY: 10, Animal.Precision.MONTH: 7, Animal.Precision.YEAR: 4}
MOST_GENERATIONS = 12
MOST_PICTURES = 3


@dataclass(frozen=True)
class Chosen:
    """What the keeper lets go with an ancestry: how far back, call names, spots, what became of it.

    with_young: with the young of these animals, and the other parents of these.
    """

    generations: int = 5
    with_names: bool = False
    with_spots: bool = True
    with_sizes: bool = False
    with_deaths: bool = False
    with_young: bool = False


def given_ancestry(animals: Iterable[Animal], chosen: Chosen, *, on: datetime.date) -> bytes:
    """The signed file of these animals and their ancestors, as on record today.

    It names no person, no place and no price; call names and spots only if chosen. Raises
    ValidationError. A handful of queries a generation.
    """
    key = own_key()
    public = key.public_key().public_bytes_raw().hex()
    return write_word(word_of(list(animals), chosen, public_key=public, on=on), key)


def word_of(animals: list[Animal], chosen: Chosen, *, public_key: str, on: datetime.date) -> Word:
    """What this program says of these animals and their ancestors, not signed yet."""
    rows = everybody(animals, chosen)
    lines = known_lines(public_key)
    known = _Known(rows, lines.root(public_key), chosen)
    claims = tuple(known.claim(one) for one in rows)
    named = {key_of(one) for claim in claims for one in (claim.identity, *claim.also)}
    return Word(
        key=public_key,
        issuer=the_program().name[:60],
        issued_on=on.isoformat(),
        about=tuple(known.identity_of(one) for one in animals),
        claims=claims,
        keys=passed_on({public_key, *named}, lines),
    )


def everybody(animals: list[Animal], chosen: Chosen) -> list[Animal]:
    """Whom a file of these animals would speak of."""
    return with_ancestors(_with_young(animals, chosen), chosen.generations)


def _with_young(animals: list[Animal], chosen: Chosen) -> list[Animal]:
    """These animals, and their young on record where they are to go along."""
    if not chosen.with_young:
        return animals
    pks = [one.pk for one in animals]
    young = Animal.objects.filter(
        Q(sire__in=pks) | Q(dam__in=pks) | Q(possible_sires__sire__in=pks)
    )
    return list({one.pk: one for one in (*animals, *young.order_by("pk"))}.values())


def carried_by_sheet(animal: Animal, *, public_key: str, on: datetime.date) -> dict[str, Any]:
    """What its sheet carries: the document of its ancestry, which the sheet's own seal covers.

    The sheet names the animal and its parents in print, so their names go along; no others do.
    """
    word = word_of([animal], Chosen(), public_key=public_key, on=on)
    parents = Animal.objects.filter(pk__in=[animal.sire_id, animal.dam_id])
    names = {identity(public_key, one.code): one.call_name for one in (animal, *parents)}
    claims = tuple(
        replace(claim, name=next((names[one] for one in its if one in names), ""))
        for claim in word.claims
        for its in [(claim.identity, *claim.also)]
    )
    return document_of(replace(word, claims=claims))


def with_ancestors(animals: list[Animal], generations: int) -> list[Animal]:
    """These animals and their ancestors on record, so many generations back; each once."""
    found = {one.pk: one for one in animals}
    youngest = list(animals)
    for _ in range(generations):
        wanted = {
            parent for one in youngest for parent in (one.sire_id, one.dam_id) if parent is not None
        } | set(
            PossibleSire.objects.filter(animal__in=[one.pk for one in youngest]).values_list(
                "sire_id", flat=True
            )
        )
        youngest = list(Animal.objects.filter(pk__in=wanted - found.keys()).order_by("pk"))
        if not youngest:
            break
        found.update({one.pk: one for one in youngest})
    return list(found.values())


class _Known:
    """Everything that claims of these animals need, read at once."""

    def __init__(self, rows: list[Animal], public: str, chosen: Chosen) -> None:
        self._public, self._chosen = public, chosen
        self._here = {one.pk for one in rows}
        self._codes = {one.pk: one.code for one in rows}
        self._names: dict[int, list[str]] = {}
        for known in KnownAs.objects.filter(animal__in=self._here, taken__withdrawn_at=None):
            self._names.setdefault(known.animal_id, []).append(known.identity)
        self._sires: dict[int, list[PossibleSire]] = {}
        for possible in PossibleSire.objects.filter(animal__in=self._here).order_by("pk"):
            self._sires.setdefault(possible.animal_id, []).append(possible)
        self._species: dict[int, list[SpeciesShare]] = {}
        shares = SpeciesShare.objects.filter(animal__in=self._here).select_related("species")
        for share in shares.order_by("pk"):
            self._species.setdefault(share.animal_id, []).append(share)
        self._spots = self._read_spots() if chosen.with_spots else {}
        self._sizes = self._read_sizes() if chosen.with_sizes else {}

    def _read_sizes(self) -> dict[int, list[tuple[str, int, int]]]:
        rows = Measurement.objects.filter(animal__in=self._here, on__isnull=False).exclude(
            disc_width_mm=None, weight_g=None
        )
        found: dict[int, list[tuple[str, int, int]]] = {}
        for one in rows.order_by("-on", "-pk"):
            assert one.on is not None  # noqa: S101 - asked for with a day
            size = (one.on.isoformat(), one.disc_width_mm or 0, one.weight_g or 0)
            found.setdefault(one.animal_id, []).append(size)
        return found

    def _read_spots(self) -> dict[int, list[PatternReading]]:
        found: dict[int, list[PatternReading]] = {}
        rows = PatternReading.objects.filter(
            photograph__animal__in=self._here,
            photograph__withdrawn_at__isnull=True,
            photograph__taken_on__isnull=False,
            is_used=True,
        )
        for one in rows.select_related("photograph").order_by("-photograph__taken_on", "-pk"):
            assert one.photograph is not None  # noqa: S101 - asked for by its photograph
            found.setdefault(one.photograph.animal_id, []).append(one)
        return found

    def identity_of(self, animal: Animal) -> str:
        return self._identity(animal.pk)

    def _identity(self, pk: int | None) -> str:
        """What it was called first, where it came from another program; else its code here."""
        assert pk is not None  # noqa: S101 - asked of animals that are named, for the type checker
        taken = self._names.get(pk)
        return taken[0] if taken else identity(self._public, self._codes[pk])

    def claim(self, one: Animal) -> Claim:
        letters = LETTERS.get(Animal.Precision(one.born_precision), 0)
        names = self._names.get(one.pk, [])
        own = identity(self._public, one.code)
        return Claim(
            identity=self._identity(one.pk),
            sex=one.sex,
            name=one.call_name if self._chosen.with_names else "",
            born=one.born_on.isoformat()[:letters] if one.born_on else "",
            died=one.state_on.isoformat()
            if self._chosen.with_deaths and one.state == Animal.State.DIED and one.state_on
            else "",
            is_wild=one.origin == Animal.Origin.WILD,
            sires=self._sires_of(one),
            dam=self._identity(one.dam_id) if one.dam_id in self._here else "",
            species=tuple(
                (share.species.accepted_name, share.share)
                for share in self._species.get(one.pk, ())
            ),
            also=(*names[1:], own) if names else (),
            spots=tuple(map(_spots_of, self._spots.get(one.pk, ())[:MOST_PICTURES])),
            measured=tuple(reversed(self._sizes.get(one.pk, ())[:MOST_SIZES])),
        )

    def _sires_of(self, one: Animal) -> Shares:
        if one.sire_id in self._here:
            return ((self._identity(one.sire_id), Fraction(1)),)
        return tuple(
            (self._identity(possible.sire_id), possible.share)
            for possible in self._sires.get(one.pk, ())
            if possible.sire_id in self._here
        )


def _spots_of(one: PatternReading) -> tuple[str, tuple[tuple[int, int, int], ...]]:
    assert one.photograph is not None and one.photograph.taken_on is not None  # noqa: S101, PT018
    spots = tuple(
        (round(x * SPOT_PARTS), round(y * SPOT_PARTS), round(radius * SPOT_PARTS))
        for x, y, radius in one.spots
    )
    return one.photograph.taken_on.isoformat(), spots
