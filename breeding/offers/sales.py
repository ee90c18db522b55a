"""The sales page of a litter: what is chosen to be shown, and what of it is still free."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Prefetch

from breeding.animals import lineage
from breeding.animals.models import Animal, Photograph, PossibleSire
from breeding.animals.parents.parentage import Parents
from breeding.animals.species.profiles import all_profiles
from breeding.buyers.models import STANDING, Reservation
from breeding.feeding.said import feeding_words
from breeding.health.illness.said import treatments_said
from breeding.litters.models import Litter, Pup
from breeding.litters.queries import PupReading, pups_of
from breeding.offers.models import SalesLink, SalesPage, ShownPup
from breeding.program.acts.together import delete_together, write_together
from breeding.program.models import Person, Program
from breeding.sheets.contents.draft import draft_sheet
from breeding.sheets.contents.facts import NOT_RECORDED, PersonOfTree, SheetFacts
from breeding.sheets.contents.portraits import caption, portraits_of
from breeding.sheets.shared.links import hash_of
from breeding.words.language import tell
from breeding.words.sizes import length

# ------------------------------------------------------------------------------------------- acts


@transaction.atomic
def change_sales_page(
    litter: Litter, *, by: Person | None, pups: Iterable[Pup], words: str = ""
) -> SalesPage:
    """Choose which pups of a litter are shown, and what is said of them.

    Raises ValidationError for a litter that is withdrawn, a pup of another litter or one that was
    born dead.
    """
    litter.refresh_from_db(fields=["withdrawn_at"])
    if litter.is_withdrawn:
        raise ValidationError(
            tell("A withdrawn birth is not offered; bring {litter} back first.", litter=litter)
        )
    chosen = list(pups)
    for pup in chosen:
        if pup.litter_id != litter.pk or pup.animal_id is None:
            raise ValidationError(
                {"pups": tell("{pup} is no living pup of {litter}.", pup=pup, litter=litter)}
            )
    page, _ = SalesPage.objects.get_or_create(litter=litter, defaults={"recorded_by": by})
    page.words = words.strip()
    page.full_clean()
    page.save()
    _show(page, chosen)
    return page


def _show(page: SalesPage, pups: Iterable[Pup]) -> None:
    """These stand on the page from now on, and no others."""
    wanted = {pup.pk: pup for pup in pups}
    standing = {one.pup_id: one for one in page.shown.select_related("pup", "salespage__litter")}
    delete_together([one for key, one in standing.items() if key not in wanted])
    write_together(
        [ShownPup(salespage=page, pup=pup) for key, pup in wanted.items() if key not in standing]
    )


def find_offer(token: str, *, today: datetime.date) -> SalesPage | None:
    """The page of the link with this token when it is good; None whatever else is the case."""
    link = (
        SalesLink.objects.select_related("page", "page__litter", "page__litter__dam")
        .filter(token_hash=hash_of(token))
        .first()
    )
    if link is None or not link.is_good(today) or link.page.litter.is_withdrawn:
        return None
    return link.page


# --------------------------------------------------------------------------------- what is shown


def free_pups(page: SalesPage, *, asof: datetime.date) -> list[PupReading]:
    """The chosen pups that are here, well and kept for nobody on this very moment, by number.

    One that only has to grow is shown, and says so; one that is not well is offered to nobody.
    """
    chosen = set(page.pups.values_list("pk", flat=True))
    rows = pups_of([page.litter], asof=asof).get(page.litter_id, [])
    here = [one for one in rows if one.pup.pk in chosen and not one.unwell]
    here = [one for one in here if one.pup.animal is not None and one.pup.animal.is_here]
    kept = set(
        Reservation.objects.filter(
            STANDING, animal__in=[one.pup.animal_id for one in here]
        ).values_list("animal_id", flat=True)
    )
    return [one for one in here if one.pup.animal_id not in kept]


def pictures_of_offer(page: SalesPage, pups: list[PupReading]) -> dict[str, Photograph]:
    """Every picture the page shows, by its role: free pups, and their parents.

    Roles number what stands on the page and say nothing of the records.
    """
    animals = {f"pup-{one.pup.number}": one.pup.animal for one in pups if one.pup.animal}
    shown: dict[str, Animal] = dict(animals)
    if pups:
        shown["dam"] = page.litter.dam
    for number, sire in enumerate(_sires(animals.values()), start=1):
        shown[f"sire-{number}"] = sire
    found = portraits_of(shown.values())
    return {
        role: photograph
        for role, animal in shown.items()
        if (photograph := found[animal.pk]) is not None
    }


def _sires(young: Iterable[Animal]) -> list[Animal]:
    """Every male that is or may be the sire of one of these, each once, in a steady order."""
    keys: set[int] = set()
    pks = [one.pk for one in young]
    rows = Animal.objects.filter(pk__in=pks).values_list("sire_id", "possible_sires__sire_id")
    for row in rows:
        keys |= {key for key in row if key is not None}
    return list(Animal.objects.filter(pk__in=keys).order_by("pk"))


@dataclass(frozen=True)
class OfferedPup:
    """A pup as strangers see it."""

    name: str
    code: str
    sex: str
    size: str
    measured_on: datetime.date | None
    markings: str
    role: str
    caption: str
    lacks: tuple[str, ...]
    treatments: str
    feeding: str = ""


@dataclass(frozen=True)
class OfferedParent:
    """A parent as strangers see it; the role of its picture is empty when there is none."""

    person: PersonOfTree
    role: str


@dataclass(frozen=True)
class Family:
    """Free pups of the same parents, with what the records say of their descent."""

    parents: tuple[OfferedParent, ...]
    facts: SheetFacts
    pups: tuple[OfferedPup, ...]

    @property
    def rows(self) -> list[tuple[str, str]]:
        """What is known and what is not, by heading."""
        said: list[tuple[str, str]] = [
            (tell("Species"), self.facts.animal.species),
            (tell("Species shares"), self.facts.species_shares),
            (tell("How much they differ"), self.facts.spread),
            (tell("Inbreeding F"), self.facts.inbreeding),
            (tell("Known ancestry"), self.facts.ancestry),
            (tell("In captivity"), self.facts.generations),
            (tell("Origin"), self.facts.animal.origin),
        ]
        return [(heading, words) for heading, words in said if words]


@dataclass(frozen=True)
class Offer:
    """All that the page of a litter says today."""

    program_name: str
    litter: Litter
    words: str
    families: tuple[Family, ...]
    pictures: Mapping[str, Photograph] = field(repr=False)


def read_offer(page: SalesPage, program: Program, *, today: datetime.date) -> Offer:
    """What a stranger may know of the litter. Cost: a sheet without its tree for each family."""
    pups = free_pups(page, asof=today)
    pictures = pictures_of_offer(page, pups)
    roles = {photograph.animal_id: role for role, photograph in pictures.items()}
    groups: dict[Any, list[PupReading]] = {}
    parents: dict[Any, Parents] = {}
    families_of = _families(pups)
    treated = treatments_said(families_of, today)
    feeding = feeding_words(families_of, today)
    for one in pups:
        if one.pup.animal is None:
            continue
        family = families_of[one.pup.animal.pk]
        key = (family.sire and family.sire.pk, family.possible_sires, one.pup.animal.strain_id)
        groups.setdefault(key, []).append(one)
        parents[key] = family
    families = []
    for key, young in groups.items():
        first = young[0].pup.animal
        if first is None:
            continue
        facts = draft_sheet(first, program=program, by=None, on=today, with_tree=False).facts
        families.append(
            Family(
                parents=_parents(parents[key], facts, roles),
                facts=facts,
                pups=tuple(
                    _offered(one, program, pictures, today, feeding, treated) for one in young
                ),
            )
        )
    return Offer(program.name, page.litter, page.words, tuple(families), pictures)


def _families(pups: Iterable[PupReading]) -> dict[int, Parents]:
    """The parents of each pup by its animal's key: two queries."""
    keys = [one.pup.animal_id for one in pups if one.pup.animal_id is not None]
    rows = Animal.objects.filter(pk__in=keys).select_related("sire", "dam")
    possible = Prefetch("possible_sires", PossibleSire.objects.select_related("sire"))
    return {
        one.pk: Parents(
            one.sire, one.dam, tuple((row.sire, row.share) for row in one.possible_sires.all())
        )
        for one in rows.prefetch_related(possible)
    }


def _parents(
    family: Parents, facts: SheetFacts, roles: Mapping[int, str]
) -> tuple[OfferedParent, ...]:
    """The facts name the sires in the order of the records, and a rest that is unknown last."""
    sires: list[Animal | None] = [sire for sire, _ in family.possible_sires]
    known = [*(sires or [family.sire]), *([None] * len(facts.sires))]
    shown = [*zip(facts.sires, known, strict=False), (facts.dam, family.dam)]
    return tuple(
        OfferedParent(person, roles.get(animal.pk, "") if animal and person.portrait else "")
        for person, animal in shown
    )


def _offered(
    one: PupReading,
    program: Program,
    pictures: Mapping[str, Photograph],
    today: datetime.date,
    feeding: Mapping[int, str],
    treated: Mapping[int, str],
) -> OfferedPup:
    animal = one.pup.animal
    assert animal is not None  # noqa: S101 - only living pups are offered
    role = f"pup-{one.pup.number}"
    photograph = pictures.get(role)
    figures = all_profiles().of(lineage.current().shares[animal.pk])
    sex = animal.get_sex_display() if animal.sex != Animal.Sex.UNKNOWN else tell("sex unknown")
    return OfferedPup(
        name=animal.name,
        code=animal.code if animal.call_name else "",
        sex=sex,
        size=length(one.disc_width_mm, program.length_unit) if one.disc_width_mm else "",
        measured_on=one.measured_on,
        markings=animal.markings,
        role=role if photograph else "",
        caption=caption(photograph, animal, figures, today) if photograph else "",
        lacks=one.lacks,
        treatments=treated.get(animal.pk, NOT_RECORDED),
        feeding=feeding.get(animal.pk, NOT_RECORDED),
    )
