"""What a parentage sheet of an animal would say today: rows gathered, put into sentences."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db.models import F
from django.utils.translation import get_language

from breeding.animals import lineage
from breeding.animals.models import Animal, Measurement, Photograph, Species
from breeding.animals.parents.descent import descent_of
from breeding.animals.parents.parentage import Parents
from breeding.animals.pictures.trees import kept_for
from breeding.animals.services import parents_of
from breeding.animals.species.countries import founder_countries
from breeding.animals.species.kinds import words_of_animals
from breeding.animals.species.listings import listings_in_use
from breeding.animals.species.profiles import all_profiles
from breeding.feeding.said import feeding_words
from breeding.health.illness.said import treatments_said
from breeding.program.language.catalogs import AS_WRITTEN
from breeding.program.models import Person, Program
from breeding.program.reference.cautions import cautions
from breeding.sheets.contents.facts import (
    EMERGENCY,
    NOT_RECORDED,
    SEX_UNKNOWN,
    AnimalOfSheet,
    Passage,
    PersonOfTree,
    SheetFacts,
    TelephoneNumber,
    standard_cautions,
    standard_promise,
)
from breeding.sheets.contents.litter import litter_words, pup_of
from breeding.sheets.contents.portraits import caption, portraits_of
from breeding.sheets.contents.receiving import arrival_words, first_weeks_words, water_words
from breeding.sheets.contents.tree import (
    read_small_pictures,
    shown_in_tree,
    tree_drawing,
)
from breeding.traits.standing import traits_words
from breeding.words.days import born_mark, born_words, long_day, short_day
from breeding.words.descent.ancestry import (
    GENERATIONS,
    origin_sentence,
    origin_words,
    tree_sentence,
)
from breeding.words.descent.shares import shares_words
from breeding.words.language import message, tell
from breeding.words.numbers import a_part, joined, percent
from breeding.words.sizes import length, weight
from breeding.words.style import SHEET, capital
from pedigree import Pedigree, is_hybrid

DRAFT_NUMBER = message("not issued yet")
SEXES = {Animal.Sex.MALE: "male", Animal.Sex.FEMALE: "female"}  # keys, as the facts hold them


@dataclass(frozen=True)
class Draft:
    """The facts as they stand, with the pictures they show by the keys that the facts name."""

    facts: SheetFacts
    pictures: Mapping[str, Photograph]


def draft_sheet(
    animal: Animal,
    *,
    program: Program,
    by: Person | None,
    on: datetime.date,
    is_for_buyer: bool = False,
    journey_hours: int | None = None,
    generations: int = GENERATIONS,
    corrects: str = "",
    with_tree: bool = True,
) -> Draft:
    """Gather everything a sheet of this animal says; a constant number of queries.

    `journey_hours` is how long it will be in the bag, None when that is not known; `generations`
    how far the tree goes back, 3 to 5; `corrects` the number of the sheet that it replaces.
    `with_tree`: whether the tree is drawn.
    """
    return _Gathering(animal, program, on).draft(
        by=by,
        is_for_buyer=is_for_buyer,
        journey_hours=journey_hours,
        generations=generations,
        corrects=corrects,
        with_tree=with_tree,
    )


class _Gathering:
    """The rows a sheet rests on, read once, and the sentences made of them."""

    def __init__(self, animal: Animal, program: Program, on: datetime.date) -> None:
        self.animal, self.program, self.on = animal, program, on
        self.parents: Parents = parents_of(animal)
        known = lineage.current()
        self.lineage = known
        self.ped: Pedigree = known.pedigree
        self.shares_of: Mapping[Any, Mapping[int | None, Fraction]] = known.shares
        self.base = known.base
        self.species = {one.pk: one for one in Species.every.all()}
        self.species_names = {pk: one.short_name for pk, one in self.species.items()}
        self.descent = descent_of(animal, SHEET, with_pictures=False)
        shown = [animal, *(parent for _, parent in self.parents.everyone)]
        self.measurements = _measurements(shown)
        self.portraits = portraits_of(shown)
        self.profiles = all_profiles()
        self.kinds = words_of_animals([animal.pk], self.species)
        self.pup = pup_of(animal)
        self.pictures: dict[str, Photograph] = {}

    # --------------------------------------------------------------------------------- the whole

    def draft(
        self,
        *,
        by: Person | None,
        is_for_buyer: bool,
        journey_hours: int | None,
        generations: int,
        corrects: str,
        with_tree: bool,
    ) -> Draft:
        animal, descent = self.animal, self.descent
        tree_words = tree_sentence(self.ped, animal.pk, descent.names, generations)
        facts = SheetFacts(
            language=get_language() or AS_WRITTEN,
            program_name=self.program.name,
            sheet_number=tell(DRAFT_NUMBER),
            issued_on=self.on,
            issued_by=str(by) if by else self.program.name,
            issued_for=tell("the buyer of {animal}", animal=animal.name) if is_for_buyer else "",
            corrects=corrects,
            sires=self._sires(),
            dam=self._parent("dam", self.parents.dam, "dam"),
            animal=self._animal(),
            ancestry=descent.ancestry,
            species_shares=descent.species,
            spread=descent.spread.sentence,
            inbreeding=descent.said_with_reasons,
            generations=descent.captivity,
            traits=traits_words(animal.pk),
            water=water_words(animal, self.program, on=self.on),
            tree=self._tree(tree_words, generations) if with_tree else "",
            tree_words=tree_words,
            promise=self._promise(),
            arrival=arrival_words(journey_hours),
            first_weeks=first_weeks_words(self.kinds),
            cautions=self._cautions(),
            telephone_numbers=self._telephone_numbers(),
            scientific_names=self._scientific_names(),
            parents_are_kin=self._parents_are_kin(),
            breeder_address=self.program.address,
            breeder_telephone=self.program.telephone,
        )
        return Draft(facts, self.pictures)

    def _tree(self, words: str, generations: int) -> str:
        """The drawing; none of an animal that would stand alone in it."""
        animal, ped = self.animal, self.ped
        if ped.is_founder(animal.pk):
            return ""
        shown = shown_in_tree(ped, animal.pk, generations)
        pictured = {one: self._line[one].portrait if one in self._line else None for one in shown}
        everybody = {animal.pk} | ped.ancestors(animal.pk)
        return tree_drawing(
            ped,
            animal.pk,
            generations=generations,
            cards={key: one.card for key, one in kept_for(everybody).items()},
            pictures=read_small_pictures(pictured),
            words=words,
        )

    # --------------------------------------------------------------------------------- who is on it

    def _sires(self) -> tuple[PersonOfTree, ...]:
        possible = self.parents.possible_sires
        if not possible:
            return (self._parent("sire", self.parents.sire, "sire"),)
        persons = [
            self._parent("possible sire", sire, f"sire-{number}", share)
            for number, (sire, share) in enumerate(possible, start=1)
        ]
        if rest := 1 - sum((share for _, share in possible), Fraction(0)):
            persons.append(PersonOfTree("possible sire", is_known=False, share=percent(rest)))
        return tuple(persons)

    def _parents_are_kin(self) -> bool:
        sire, dam = self.parents.sire, self.parents.dam
        return bool(sire and dam and self.ped.are_related(sire.pk, dam.pk))

    def _parent(
        self, role: str, parent: Animal | None, key: str, share: Fraction | None = None
    ) -> PersonOfTree:
        if parent is None:
            return PersonOfTree.unknown(role)
        shares = self.shares_of[parent.pk]
        kind = tell("species not recorded")
        if any(share for label, share in shares.items() if label is not None):
            kind = shares_words(shares, self.species_names)
        portrait, words_below = self._portrait(parent, key)
        return PersonOfTree(
            role,
            code=parent.code,
            name=parent.call_name,
            size=self._latest_width(parent),
            origin=f"{kind}, {_origin_of_parent(parent)}",
            share=percent(share) if share is not None else "",
            portrait=portrait,
            portrait_caption=words_below,
        )

    def _portrait(self, animal: Animal, key: str) -> tuple[str, str]:
        """The key of its picture, dated; both empty when there is none or its file is gone."""
        photograph = self.portraits[animal.pk]
        if photograph is None or not photograph.picture.storage.exists(str(photograph.picture)):
            return "", ""
        self.pictures[key] = photograph
        figures = self.profiles.of(self.shares_of[animal.pk])
        return key, caption(photograph, animal, figures, self.on)

    def _animal(self) -> AnimalOfSheet:
        animal = self.animal
        portrait, words_below = self._portrait(animal, "animal")
        return AnimalOfSheet(
            code=animal.code,
            name=animal.call_name,
            sex=SEXES.get(Animal.Sex(animal.sex), SEX_UNKNOWN),
            species=self._kind(),
            strain=tell("strain {strain}", strain=animal.strain) if animal.strain else "",
            born=born_words(animal.born_on, animal.born_precision)
            if animal.born_on
            else tell(NOT_RECORDED),
            born_mark=born_mark(animal.born_on, animal.born_precision),
            litter=litter_words(self.pup),
            measurements=self._sizes(),
            identification=animal.markings or tell("markings not described"),
            condition=self._condition(),
            feeding=feeding_words([animal.pk], self.on).get(animal.pk, tell(NOT_RECORDED)),
            treatments=treatments_said([animal.pk], self.on)[animal.pk],
            origin=origin_sentence(self.ped, animal.pk, self.descent.names),
            portrait=portrait,
            portrait_caption=words_below,
            size_called=tell(self.kinds.size),
        )

    # ---------------------------------------------------------------------------------------- sizes

    def _latest_width(self, animal: Animal) -> str:
        for one in self.measurements.get(animal.pk, []):
            if one.disc_width_mm:
                return tell(
                    "{length} {size}, {day}",
                    length=self._length(one.disc_width_mm),
                    size=tell(self.kinds.size),
                    day=short_day(one.on) if one.on else tell("day unknown"),
                )
        return tell("size not recorded")

    def _sizes(self) -> str:
        """Disc width now and at birth, and the weight: "15.2 cm on 21 November 2026, ..."."""
        rows = self.measurements.get(self.animal.pk, [])
        widths = [one for one in rows if one.disc_width_mm]
        parts = []
        at_birth = self._width_at_birth(widths)
        latest = widths[0] if widths else None
        if latest and latest.disc_width_mm and not (latest.on and latest.on == self.animal.born_on):
            parts.append(_dated(self._length(latest.disc_width_mm), latest))
        if at_birth:
            parts.append(tell("{length} at birth", length=self._length(at_birth)))
        elif parts:
            parts.append(tell("at birth not recorded"))
        heavy = next((one for one in rows if one.weight_g), None)
        if heavy:
            grams = weight(heavy.weight_g, self.program.weight_unit)
            parts.append(_dated(tell("weight {weight}", weight=grams), heavy))
        return ", ".join(parts) or tell(NOT_RECORDED)

    def _width_at_birth(self, widths: list[Measurement]) -> int | None:
        if (pup := self.pup) and pup.disc_width_mm:
            return pup.disc_width_mm
        if self.animal.born_precision != Animal.Precision.DAY:
            return None
        return next((one.disc_width_mm for one in widths if one.on == self.animal.born_on), None)

    def _condition(self) -> str:
        for one in self.measurements.get(self.animal.pk, []):
            if one.condition:
                found = _dated(tell("{condition} of 5", condition=one.condition), one)
                return tell("{condition} (1 thin, 3 ideal, 5 over-fed)", condition=found)
        return tell(NOT_RECORDED)

    def _length(self, millimetres: int) -> str:
        return length(millimetres, self.program.length_unit)

    # ----------------------------------------------------------------------- species and promises

    @property
    def _known(self) -> list[int]:
        """Species known to be in its ancestry, the largest share first."""
        shares = self.shares_of[self.animal.pk]
        known = [label for label, share in shares.items() if label is not None and share]
        return sorted(known, key=lambda label: (-shares[label], self.species_names[label]))

    @property
    def _unknown(self) -> Fraction:
        return self.shares_of[self.animal.pk].get(None, Fraction(0))

    def _kind(self) -> str:
        known = self._known
        if not known:
            return tell("species not recorded")
        if len(known) > 1:
            names = joined([self.species_names[one] for one in known])
            kind = tell("hybrid of {names}", names=names)
        else:
            one = self.species[known[0]]
            trade = one.trade_name_said
            kind = f"{one.accepted_name} ({trade})" if trade else one.accepted_name
        return tell("{kind}, in part of unknown species", kind=kind) if self._unknown else kind

    def _promise(self) -> str:
        """What nobody can promise of this animal, beginning with what is not known of it."""
        parts = []
        unknown = self._unknown
        if unknown == 1:
            parts.append(tell("Its species is not on record, so it may be a hybrid."))
        elif unknown:
            parts.append(self._unknown_words(capital(a_part(unknown))))
        parts.append(
            standard_promise(self.kinds, is_hybrid=is_hybrid(self.shares_of[self.animal.pk]))
        )
        if self.animal.strain:
            parts.append(
                tell(
                    "{strain} is a strain: what its line has looked like so far binds neither this "
                    "animal nor its young.",
                    strain=self.animal.strain,
                )
            )
        return " ".join(parts)

    def _unknown_words(self, part: str) -> str:
        if len(self._known) > 1:
            return tell("{part} of its ancestry is of unknown species.", part=part)
        return tell(
            "{part} of its ancestry is of unknown species, so it may be a hybrid.", part=part
        )

    def _countries(self, species: int) -> frozenset[str]:
        """Where its founders of this species come from."""
        return founder_countries(self.animal.pk, species, self._line)

    @cached_property
    def _line(self) -> dict[int, Animal]:
        """It and its ancestors, with their portraits: one query."""
        everybody = {self.animal.pk} | self.ped.ancestors(self.animal.pk)
        return Animal.objects.select_related("portrait").in_bulk(everybody)

    def _cautions(self) -> tuple[Passage, ...]:
        """The standard ones; the law names the listings of the species in its ancestry."""
        law = cautions(self.kinds)["law"]
        listings = listings_in_use(Path(settings.HOME))
        notes = [
            f"{self.species_names[one]}: {words}"
            for one in self._known
            if (words := listings.law_of(self.species[one], self._countries(one)))
        ]
        return tuple(
            Passage(part.heading, " ".join([part.text, *notes]), part.is_urgent)
            if part.heading == law.heading
            else part
            for part in standard_cautions(self.kinds)
        )

    def _telephone_numbers(self) -> tuple[TelephoneNumber, ...]:
        """Whom to call for a person who was stung; the veterinarian is not among them."""
        numbers = (
            (tell(EMERGENCY), self.program.emergency_number),
            (tell("Poison centre"), self.program.poison_number),
        )
        return tuple(TelephoneNumber(label, number) for label, number in numbers if number)

    def _scientific_names(self) -> tuple[str, ...]:
        keys = {*self._known}
        for _, parent in self.parents.everyone:
            keys |= {label for label in self.shares_of[parent.pk] if label is not None}
        names = {self.species_names[one] for one in keys}
        return tuple(sorted(names | {self.species[one].accepted_name for one in keys}))


def _dated(size: str, measured: Measurement) -> str:
    """A size with its day, which is never guessed."""
    if measured.on is None:
        return tell("{size} (day unknown)", size=size)
    return tell("{size} on {day}", size=size, day=long_day(measured.on))


def _measurements(animals: list[Animal]) -> dict[int, list[Measurement]]:
    """Everything measured of these animals, the latest first, the undated last: one query."""
    found: dict[int, list[Measurement]] = {}
    for one in Measurement.objects.filter(animal__in=animals).order_by(
        F("on").desc(nulls_last=True), "-pk"
    ):
        found.setdefault(one.animal_id, []).append(one)
    return found


def _origin_of_parent(animal: Animal) -> str:
    words = origin_words(animal.origin, animal.country)
    if animal.origin == Animal.Origin.UNKNOWN and not animal.country:
        words = tell("origin {origin}", origin=words)
    if animal.born_on is None:
        return words
    year = str(animal.born_on.year)
    if animal.origin == Animal.Origin.BORN_HERE:
        return f"{words} {year}"
    return tell("{origin}, born {year}", origin=words, year=year)
