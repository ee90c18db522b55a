"""The waiting list: wishes written down, and which pup would fit which wish, or why not yet."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.words import is_hybrid
from breeding.buyers.models import STANDING, Contact, Reservation, Wish
from breeding.litters.models import Litter
from breeding.litters.readings import PUP_DAYS, PupReading, pups_of
from breeding.program.formats import length
from breeding.program.models import Person, Program

Shares = Mapping[int | None, Fraction]

WISH_PARTS = ("wished_on", "species", "strain", "sex", "kind", "least_disc_width_mm", "note")


@transaction.atomic
def add_wish(
    contact: Contact, *, by: Person | None, wished_on: datetime.date, **parts: Any
) -> Wish:
    """Write down what somebody waits for, since a day. Raises ValidationError by field."""
    wish = Wish(contact=contact, wished_on=wished_on, recorded_by=by, **parts)
    wish.full_clean()
    wish.save()
    return wish


@transaction.atomic
def change_wish(wish: Wish, **parts: Any) -> Wish:
    """Change parts of a wish; its place in the list stays unless its day is changed."""
    for name in parts.keys() - set(WISH_PARTS):
        raise ValueError(f"A wish has no {name!r}: only {', '.join(WISH_PARTS)}.")
    for name, value in parts.items():
        setattr(wish, name, value)
    wish.full_clean()
    wish.save()
    return wish


def standing_wishes() -> QuerySet[Wish]:
    """The oldest first."""
    return (
        Wish.objects.filter(withdrawn_at__isnull=True)
        .select_related("contact", "species", "strain")
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


def candidates(*, asof: datetime.date, litters: Iterable[Litter] | None = None) -> list[Candidate]:
    """Every pup under a year that is here, or those of some litters: a constant number of queries.

    Pups already kept for somebody are among them, so that a page can say so.
    """
    if litters is None:
        since = asof - datetime.timedelta(days=PUP_DAYS)
        litters = Litter.objects.filter(
            withdrawn_at__isnull=True, born_on__gte=since, born_on__lte=asof
        )
    pups = [one for rows in pups_of(list(litters), asof=asof).values() for one in rows]
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


def fit_of(wish: Wish, pup: Candidate, program: Program) -> Fit:
    """Hold one pup against one wish. Unknown is never taken for fitting."""
    against = [*_species_against(wish, pup), *_looks_against(wish, pup)]
    not_yet = list(pup.pup.lacks)
    if pup.reservation is not None:
        against.append(f"kept for {pup.reservation.contact}")
    if pup.pup.is_grown:
        against.append("older than a year, no pup that waits to leave")
    least, width = wish.least_disc_width_mm, pup.pup.disc_width_mm
    if least is not None and width is not None and width < least:
        unit = program.length_unit
        not_yet.append(f"{length(width, unit)}, wished from {length(least, unit)} on")
    return Fit(wish, pup.pup, pup.animal, tuple(against), tuple(not_yet))


def _species_against(wish: Wish, pup: Candidate) -> list[str]:
    shares = pup.shares
    unknown = shares.get(None, Fraction(0)) > 0 or not shares
    found = []
    if wish.species is not None and not shares.get(wish.species.pk):
        name = wish.species.short_name
        known = "its species is not known in full" if unknown else "its ancestry is known"
        found.append(f"no {name} on record among its ancestors ({known})")
    if wish.kind == Wish.Kind.PURE:
        if is_hybrid(shares):
            found.append("a hybrid, wished pure")
        elif unknown:
            found.append("whether it is pure is not known")
    if wish.kind == Wish.Kind.HYBRID and not is_hybrid(shares):
        found.append("whether it is a hybrid is not known" if unknown else "pure, wished a hybrid")
    return found


def _looks_against(wish: Wish, pup: Candidate) -> list[str]:
    found = []
    if wish.strain is not None and pup.animal.strain_id != wish.strain.pk:
        found.append(f"not of the strain {wish.strain}")
    if wish.sex:
        wanted = wish.get_sex_display()
        if pup.animal.sex == Animal.Sex.UNKNOWN:
            found.append(f"its sex is not known, wished {wanted}")
        elif pup.animal.sex != wish.sex:
            found.append(f"{pup.animal.get_sex_display()}, wished {wanted}")
    return found


def who_fits(animal: Animal, program: Program, *, asof: datetime.date) -> list[Fit]:
    """Every standing wish held against one pup, the oldest wish first; empty for any but a pup."""
    litters = Litter.objects.filter(pups__animal=animal, withdrawn_at__isnull=True)
    found = [one for one in candidates(asof=asof, litters=litters) if one.animal.pk == animal.pk]
    return [fit_of(wish, one, program) for one in found for wish in standing_wishes()]


def what_fits(
    wishes: Iterable[Wish], program: Program, *, asof: datetime.date
) -> list[tuple[Wish, list[Fit]]]:
    """Every pup that is here held against these wishes; those that fit come first."""
    pups = candidates(asof=asof)
    found = []
    for wish in wishes:
        fits = [fit_of(wish, pup, program) for pup in pups]
        fits.sort(key=lambda fit: (not fit.is_fit, bool(fit.against), fit.animal.code))
        found.append((wish, fits))
    return found
