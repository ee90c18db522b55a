"""The waiting list: wishes written down, and which pup would fit which wish, or why not yet."""

import datetime
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.buyers.models import STANDING, Contact, HandOver, Reservation, Wish
from breeding.buyers.renewed import met_renewed
from breeding.buyers.services import locked_on_record
from breeding.buyers.wished_traits import (
    Readings,
    readings_for,
    trait_against,
    trait_not_yet,
)
from breeding.litters.models import Litter
from breeding.litters.queries import PupReading, pups_of, pups_since, young_litters
from breeding.litters.renewed import about_pups_of
from breeding.program.models import Person, Program
from breeding.program.problems.doubts import Doubt
from breeding.program.unchanged.growing import kept_from_page_to_page
from breeding.program.unchanged.marks import rests_on
from breeding.words.language import tell
from breeding.words.sizes import length
from pedigree import is_hybrid

Shares = Mapping[int | None, Fraction]

WISH_PARTS = (
    *("wished_on", "species", "strain", "sex", "kind", "least_disc_width_mm"),
    *("trait", "trait_wanted", "trait_least_percent", "note"),
)
WHAT_IS_WISHED = ("species", "strain", "sex", "kind", "least_disc_width_mm", "trait")


@transaction.atomic
def add_wish(
    contact: Contact, *, by: Person | None, wished_on: datetime.date, **parts: Any
) -> Wish:
    """Write down what somebody waits for, since a day. Raises ValidationError by field."""
    locked_on_record(contact)
    wish = Wish(contact=contact, wished_on=wished_on, recorded_by=by, **parts)
    wish.full_clean()
    wish.save()
    return wish


def doubts_of_wish(parts: Mapping[str, Any]) -> Iterator[Doubt]:
    """A wish in which nothing is chosen may be a slip: it would fit every pup."""
    if not any(parts.get(name) for name in WHAT_IS_WISHED):
        yield Doubt(tell("Nothing is chosen: this wish is for any pup at all."), field="species")


@transaction.atomic
def change_wish(wish: Wish, **parts: Any) -> Wish:
    """Change parts of a wish; its place in the list stays unless its day is changed."""
    for name in parts.keys() - set(WISH_PARTS):
        raise ValueError(f"A wish has no {name!r}: only {', '.join(WISH_PARTS)}.")
    wish = Wish.objects.select_for_update(of=("self",)).select_related("contact").get(pk=wish.pk)
    if wish.is_withdrawn:
        raise ValidationError(
            tell("This wish is off the list; bring it back before you change it.")
        )
    for name, value in parts.items():
        setattr(wish, name, value)
    wish.full_clean()
    wish.save()
    return wish


def standing_wishes() -> QuerySet[Wish]:
    """The oldest first."""
    return (
        Wish.objects.filter(withdrawn_at__isnull=True)
        .select_related("contact", "species", "strain", "trait")
        .order_by("wished_on", "pk")
    )


@dataclass(frozen=True)
class Fit:
    """One pup held against one wish: what speaks against it for good, and what only for now."""

    wish: Wish
    pup: PupReading
    animal: Animal
    against: tuple[str, ...]
    not_yet: tuple[str, ...]

    @property
    def is_fit(self) -> bool:
        return not self.against and not self.not_yet

    @property
    def may_fit_later(self) -> bool:
        return not self.against and bool(self.not_yet)


@dataclass(frozen=True)
class Candidate:
    """A pup that is here, with its species and for whom it is kept."""

    pup: PupReading
    animal: Animal
    shares: Shares
    reservation: Reservation | None


def young(*, asof: datetime.date) -> list[PupReading]:
    """Every pup under a year; kept are those of litters of which nothing is another."""
    found = young_litters(pups_since(asof), asof=asof)
    return [one for litter, pups in found if litter.born_on <= asof for one in pups]


def _young_litters(asof: datetime.date) -> QuerySet[Litter]:
    born_on = (pups_since(asof), asof)
    return Litter.objects.filter(withdrawn_at__isnull=True, born_on__range=born_on)


def candidates(pups: Iterable[PupReading]) -> list[Candidate]:
    """Those of the pups that are here: a constant number of queries.

    Pups already kept for somebody are among them, so that a page can say so.
    """
    here = [one for one in pups if one.pup.animal and one.pup.animal.is_here]
    kept = {
        one.animal_id: one
        for one in Reservation.objects.filter(
            STANDING, animal__in=[one.pup.animal_id for one in here]
        ).select_related("contact")
    }
    shares = lineage.current().shares
    return [
        Candidate(one, animal, shares.get(animal.pk, {}), kept.get(animal.pk))
        for one in here
        if (animal := one.pup.animal) is not None
    ]


def fit_of(wish: Wish, pup: Candidate, program: Program, readings: Readings | None = None) -> Fit:
    """Hold one pup against one wish. Unknown is never taken for fitting.

    readings: the chances of the traits that are wished for, where they have been asked for.
    """
    known = readings or {}
    against = [*_against(wish, pup.animal, pup.shares), *trait_against(wish, pup.animal, known)]
    not_yet = [*pup.pup.lacks, *trait_not_yet(wish, pup.animal, known)]
    if pup.reservation is not None:
        against.append(tell("reserved for {contact}", contact=pup.reservation.contact))
    if pup.pup.is_grown:
        against.append(tell("older than a year, no pup that waits to leave"))
    least, width = wish.least_disc_width_mm, pup.pup.disc_width_mm
    if least is not None and width is not None and width < least:
        unit = program.length_unit
        not_yet.append(
            tell(
                "{size}, wanted from {least} on",
                size=length(width, unit),
                least=length(least, unit),
            )
        )
    return Fit(wish, pup.pup, pup.animal, tuple(against), tuple(not_yet))


def _against(wish: Wish, animal: Animal, shares: Shares) -> list[str]:
    """What speaks for good against this animal being the one that is wished for."""
    return [*_species_against(wish, shares), *_looks_against(wish, animal)]


def _species_against(wish: Wish, shares: Shares) -> list[str]:
    unknown = shares.get(None, Fraction(0)) > 0 or not shares
    found = []
    if wish.species is not None and not shares.get(wish.species.pk):
        name = wish.species.short_name
        doubt = tell("no {species} on record, and its species is not known in full", species=name)
        found.append(doubt if unknown else tell("not {species}", species=name))
    if wish.kind == Wish.Kind.PURE:
        if is_hybrid(shares):
            found.append(tell("a hybrid, pure wanted"))
        elif unknown:
            found.append(tell("whether it is pure is not known"))
    if wish.kind == Wish.Kind.HYBRID and not is_hybrid(shares):
        found.append(
            tell("whether it is a hybrid is not known")
            if unknown
            else tell("pure, a hybrid wanted")
        )
    return found


def _looks_against(wish: Wish, animal: Animal) -> list[str]:
    found = []
    if wish.strain is not None and animal.strain_id != wish.strain.pk:
        found.append(tell("not of the strain {strain}", strain=wish.strain))
    if wish.sex:
        wanted = wish.get_sex_display()
        if animal.sex == Animal.Sex.UNKNOWN:
            found.append(tell("its sex is not known, {sex} wanted", sex=wanted))
        elif animal.sex != wish.sex:
            found.append(
                tell("{sex}, {wanted} wanted", sex=animal.get_sex_display(), wanted=wanted)
            )
    return found


def who_fits(animal: Animal, program: Program, *, asof: datetime.date) -> list[Fit]:
    """Every standing wish held against one pup, the oldest wish first; empty for any but a pup."""
    litters = Litter.objects.filter(pups__animal=animal, withdrawn_at__isnull=True)
    pups = [one for rows in pups_of(list(litters), asof=asof).values() for one in rows]
    found = candidates(one for one in pups if one.pup.animal_id == animal.pk)
    wishes = list(standing_wishes()) if found else []
    readings = readings_for(wishes)
    held: dict[tuple[Any, ...], Fit] = {}
    fits = []
    for one in found:
        for wish in wishes:
            asked = (one.animal.pk, *asked_for(wish))
            if asked not in held:
                held[asked] = fit_of(wish, one, program, readings)
            fits.append(replace(held[asked], wish=wish))
    return fits


@dataclass(frozen=True)
class Met:
    """What a wish has come to: an animal kept for its contact since a day, or gone to them."""

    animal: Animal
    on: datetime.date
    has_left: bool


class Fits(tuple[Fit, ...]):
    """Every pup held against what is wished for; wishes alike share one."""

    @cached_property
    def fitting(self) -> tuple[Fit, ...]:
        return tuple(fit for fit in self if fit.is_fit)

    @cached_property
    def hopeful(self) -> tuple[Fit, ...]:
        return tuple(fit for fit in self if not fit.against)

    @cached_property
    def hopeless(self) -> tuple[Fit, ...]:
        return tuple(fit for fit in self if fit.against)


@dataclass(frozen=True)
class WishReading:
    """A wish with every pup held against it, those that fit first, and what it has come to.

    Wishes that ask for the same share their fits; each names the oldest of these wishes.
    """

    wish: Wish
    fits: Fits
    met: Met | None

    @property
    def fitting(self) -> tuple[Fit, ...]:
        """The pups that fit now and are kept for nobody."""
        return self.fits.fitting

    @property
    def has_hope(self) -> bool:
        return bool(self.fits.hopeful)

    @property
    def hopeful(self) -> tuple[Fit, ...]:
        """Those that fit now or may later."""
        return self.fits.hopeful

    @property
    def hopeless(self) -> tuple[Fit, ...]:
        return self.fits.hopeless


def what_fits(
    wishes: Iterable[Wish],
    program: Program,
    *,
    asof: datetime.date,
    among: Iterable[PupReading] | None = None,
    met: Mapping[int, Met] | None = None,
) -> list[WishReading]:
    """Every pup that is here held against these wishes: a constant number of queries.

    among: the pups of the last year, where somebody has read them already. met: what these
    wishes have come to, where they are not all that their contacts have. Cost: the pups once for
    each thing that is wished for, not for each wish.
    """
    wishes = list(wishes)
    if not wishes:
        return []
    pups = candidates(young(asof=asof) if among is None else among)
    met = met_wishes(wishes) if met is None else met
    readings = readings_for(wishes)
    held: dict[tuple[Any, ...], Fits] = {}
    found = []
    for wish in wishes:
        asked = asked_for(wish)
        if asked not in held:
            held[asked] = _held(wish, pups, program, readings)
        found.append(WishReading(wish, held[asked], met.get(wish.pk)))
    return found


def asked_for(wish: Wish) -> tuple[Any, ...]:
    """What is wished for: wishes alike in it are answered alike."""
    looks = (wish.species_id, wish.strain_id, wish.sex, wish.kind, wish.least_disc_width_mm)
    return (*looks, wish.trait_id, wish.trait_wanted, wish.trait_least_percent)


def _held(wish: Wish, pups: Iterable[Candidate], program: Program, readings: Readings) -> Fits:
    fits = [fit_of(wish, pup, program, readings) for pup in pups]
    return Fits(sorted(fits, key=lambda one: (not one.is_fit, bool(one.against), one.animal.code)))


def kept_fits(keys: Sequence[int], program: Program, *, asof: datetime.date) -> list[WishReading]:
    """Of these standing wishes, by their keys, what fits, as they stand among all that their
    contacts have. Kept until something is written that is about a wish or a pup.
    """

    def read() -> list[WishReading]:
        rests_on(Program)
        wishes = list(standing_wishes().filter(pk__in=keys))
        every = standing_wishes().filter(contact__in={one.contact_id for one in wishes})
        return what_fits(wishes, program, asof=asof, met=met_wishes(every))

    about = about_pups_of(_young_litters(asof))
    return kept_from_page_to_page(("fits", tuple(keys), asof), read, about, alike="fits")


def standing_and_met() -> tuple[list[Wish], Mapping[int, Met]]:
    """Every standing wish, and which of them are met; kept, the very same, until something is
    written of them, or of what meets them."""

    def read() -> tuple[list[Wish], Mapping[int, Met]]:
        wishes = list(standing_wishes())
        return wishes, met_wishes(wishes)

    return kept_from_page_to_page("standing wishes", read, met_renewed(standing_wishes()))


def number_waiting() -> int | None:
    """For how many young buyers still wait; None where nobody keeps a list. Four queries, and
    none while nothing is written that is about them."""
    wishes, met = standing_and_met()
    if not wishes and not Wish.objects.exists():
        return None
    return len(wishes) - len(met)


def met_wishes(wishes: Iterable[Wish]) -> dict[int, Met]:
    """For whom such an animal is kept already, or to whom it went, since they wished for it.

    Each animal stands for one wish, the oldest it fits: two wishes alike need two animals.
    """
    wishes = sorted(wishes, key=lambda wish: (wish.wished_on, wish.pk))
    contacts = {wish.contact_id for wish in wishes}
    since = wishes[0].wished_on if wishes else datetime.date.max
    came: dict[int, list[Met]] = {}
    reserved = Reservation.objects.filter(STANDING, contact__in=contacts, reserved_on__gte=since)
    for kept in reserved.select_related("animal"):
        came.setdefault(kept.contact_id, []).append(Met(kept.animal, kept.reserved_on, False))
    gone = HandOver.objects.filter(
        contact__in=contacts, on__gte=since, came_back_on__isnull=True, withdrawn_at__isnull=True
    )
    for went in gone.select_related("animal"):
        came.setdefault(went.contact_id, []).append(Met(went.animal, went.on, True))
    shares, readings = lineage.current().shares, readings_for(wishes)
    found: dict[int, Met] = {}
    for wish in wishes:
        left = came.get(wish.contact_id, [])
        for one in sorted(left, key=lambda met: (met.on, met.animal.pk)):
            if one.on < wish.wished_on:
                continue
            against = [
                *_against(wish, one.animal, shares.get(one.animal.pk, {})),
                *trait_against(wish, one.animal, readings),
                *trait_not_yet(wish, one.animal, readings),
            ]
            if not against:
                found[wish.pk] = one
                left.remove(one)
                break
    return found
