"""A birth that is written down pup by pup while it happens: begun, gone on with, ended."""

import datetime
from collections.abc import Collection

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.animals.pictures.portraits import ReadPicture
from breeding.animals.services import add_photograph
from breeding.litters.births.facts import DAYS_BETWEEN_BIRTHS, PupFacts
from breeding.litters.births.family import refuse_withdrawn
from breeding.litters.models import Litter, Pup
from breeding.litters.services import add_pup, record_birth
from breeding.program.models import Person
from breeding.words.language import tell


def birth_under_way_on(litter: Litter, on: datetime.date) -> bool:
    """Whether its pups are being written down; one forgotten for weeks is not any more."""
    return litter.is_under_way and abs((on - litter.born_on).days) < DAYS_BETWEEN_BIRTHS


def birth_under_way(dam: Animal, *, on: datetime.date) -> Litter | None:
    """Her litter that is being written down; one forgotten in that state is another birth."""
    near = datetime.timedelta(days=DAYS_BETWEEN_BIRTHS)
    litters = Litter.objects.filter(dam=dam, is_under_way=True, withdrawn_at__isnull=True)
    found = litters.filter(born_on__gt=on - near, born_on__lt=on + near)
    return found.select_related("dam", "outcome").order_by("-born_on", "-pk").first()


@transaction.atomic
def next_pup(
    dam: Animal,
    facts: PupFacts,
    *,
    born_on: datetime.date,
    today: datetime.date,
    by: Person | None,
    parents: Parents | None = None,
    picture: ReadPicture | None = None,
    sure: Collection[str] = frozenset(),
) -> Pup:
    """One more pup of her birth under way, or the first one, which begins it.

    born_on, parents: of the first pup; those that follow have the day and the sires of their
    litter, so that two people at one tank write one litter. Of a litter whose pups were all born
    dead so far the sires are those in `parents`.
    """
    litter = birth_under_way(dam, on=born_on)
    if litter is not None:
        return further_pup(
            litter, facts, parents=parents, picture=picture, today=today, by=by, sure=sure
        )
    litter = record_birth(
        dam=dam,
        born_on=born_on,
        pups=[facts],
        parents=parents,
        is_under_way=True,
        today=today,
        by=by,
        sure=sure,
    )
    pup = litter.pups.select_related("animal", "litter").get()
    _keep_picture(pup, picture, on=today, by=by)
    return pup


@transaction.atomic
def further_pup(
    litter: Litter,
    facts: PupFacts,
    *,
    today: datetime.date,
    by: Person | None,
    parents: Parents | None = None,
    picture: ReadPicture | None = None,
    sure: Collection[str] = frozenset(),
) -> Pup:
    """One more pup of a litter on record, with its picture of today; `parents` as in `add_pup`."""
    pup = add_pup(litter, facts, by=by, parents=parents, sure=sure)
    _keep_picture(pup, picture, on=today, by=by)
    return pup


def _keep_picture(
    pup: Pup, picture: ReadPicture | None, *, on: datetime.date, by: Person | None
) -> None:
    """Its first portrait. Raises ValidationError for a pup that is no animal."""
    if picture is None:
        return
    if pup.animal is None:
        raise ValidationError(
            {"picture": tell("A picture is kept with its animal; a pup born dead has none.")}
        )
    add_photograph(pup.animal, picture, by=by, taken_on=on)


@transaction.atomic
def end_birth(litter: Litter) -> Litter:
    """All its pups are written down; one that is found later can still be added."""
    refuse_withdrawn(litter)
    litter.is_under_way = False
    litter.save(update_fields=["is_under_way"])
    return litter
