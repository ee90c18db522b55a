"""Every animal that died and every pup born dead, as far as they are on record; writes nothing."""

import datetime
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet
from django.db.models.functions import ExtractYear
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.health.models import Death
from breeding.housing.models import Stay, Tank
from breeding.litters.models import Litter, Pup
from breeding.words.language import tell

Date = datetime.date
NOT_KNOWN = _("not known")
STILLBORN = _("born dead")


@dataclass(frozen=True)
class Loss:
    """One that is lost: an animal that died, or a pup that was born dead.

    litter: None for one that was not born here, as far as is on record. died_on, born_on, age_days:
    None while nobody knows the day. tank: where it was then, of a pup born dead its dam's. cause:
    in words; is_suspected: no laboratory said so.
    """

    animal: Animal | None
    pup: Pup | None
    litter: Litter | None
    born_on: Date | None
    died_on: Date | None
    age_days: int | None
    tank: Tank | None
    cause: str
    is_suspected: bool
    is_known: bool = True

    @property
    def name(self) -> str:
        return str(self.animal.name if self.animal else self.pup)

    @property
    def cause_words(self) -> str:
        """The cause, and whether it is only suspected."""
        if self.is_suspected and self.is_known:
            return tell("{cause}, suspected", cause=self.cause)
        return self.cause

    @property
    def is_stillborn(self) -> bool:
        return self.animal is None

    @property
    def address(self) -> str:
        """The page of the animal; of one born dead that of its litter."""
        if self.animal is not None:
            return self.animal.get_absolute_url()
        return self.litter.get_absolute_url() if self.litter else ""


def losses(since: Date | None = None, until: Date | None = None) -> list[Loss]:
    """All who were lost from a day to a day, both counted, the latest first.

    Those of whom the day is not known are among them only where no day is given. Six queries,
    whatever the number; bounded by those who were lost in these days.
    """
    found = [*_dead(since, until), *_born_dead(since, until)]
    return sorted(found, key=lambda one: (one.died_on or Date.min, one.name), reverse=True)


def losses_a_year() -> dict[int, int]:
    """How many were lost in each year there is a day for, born dead too: two queries."""
    died = (
        Animal.objects.filter(state=Animal.State.DIED, state_on__isnull=False)
        .annotate(year=ExtractYear("state_on"))
        .order_by("year")
    )
    born_dead = _pups_born_dead().annotate(year=ExtractYear("litter__born_on")).order_by("year")
    found: dict[int, int] = {}
    for rows in (died, born_dead):
        for year, number in rows.values_list("year").annotate(Count("pk", distinct=True)):
            found[year] = found.get(year, 0) + number
    return dict(sorted(found.items()))


def lost_without_a_day() -> int:
    """How many died on a day that nobody wrote down: one query."""
    return Animal.objects.filter(state=Animal.State.DIED, state_on__isnull=True).count()


def _dead(since: Date | None, until: Date | None) -> Iterable[Loss]:
    rows = Animal.objects.filter(_in_days("state_on", since, until), state=Animal.State.DIED)
    animals = {one.pk: one for one in rows}
    pups = {
        pup.animal_id: pup
        for pup in Pup.objects.filter(
            animal__in=list(animals), litter__withdrawn_at__isnull=True
        ).select_related("litter")
    }
    deaths = {one.animal_id: one for one in Death.objects.filter(animal__in=list(animals))}
    stays = _last_stays(animals)
    for key, one in animals.items():
        pup, death = pups.get(key), deaths.get(key)
        is_known = death is not None and death.cause != Death.Cause.UNKNOWN
        yield Loss(
            animal=one,
            pup=pup,
            litter=pup.litter if pup else None,
            born_on=one.born_on,
            died_on=one.state_on,
            age_days=_age(one.born_on, one.state_on),
            tank=stays[key].tank if key in stays else None,
            cause=death.get_cause_display() if death and is_known else str(NOT_KNOWN),
            is_suspected=not (death and is_known and death.is_by_laboratory),
            is_known=is_known,
        )


def _born_dead(since: Date | None, until: Date | None) -> Iterable[Loss]:
    rows = _pups_born_dead().filter(_in_days("litter__born_on", since, until))
    pups = list(rows.select_related("litter__dam").order_by("litter", "number"))
    tanks = _tanks_of_dams(pups)
    for pup in pups:
        litter = pup.litter
        yield Loss(
            animal=None,
            pup=pup,
            litter=litter,
            born_on=pup.day,
            died_on=pup.day,
            age_days=0,
            tank=tanks.get((litter.dam_id, pup.day)),
            cause=str(STILLBORN),
            is_suspected=False,
        )


def _pups_born_dead() -> QuerySet[Pup]:
    return Pup.objects.filter(alive=False, animal__isnull=True, litter__withdrawn_at__isnull=True)


def _in_days(name: str, since: Date | None, until: Date | None) -> Q:
    asked = Q()
    if since is not None:
        asked &= Q(**{f"{name}__gte": since})
    if until is not None:
        asked &= Q(**{f"{name}__lte": until})
    return asked


def _last_stays(animals: dict[int, Animal]) -> dict[int, Stay]:
    """Where each was when it died: the last stay that had begun by then."""
    found: dict[int, Stay] = {}
    stays = Stay.objects.filter(animal__in=list(animals)).select_related("tank")
    for stay in stays.order_by("since", "pk"):
        died_on = animals[stay.animal_id].state_on
        if died_on is None or _was_in(stay, died_on):
            found[stay.animal_id] = stay
    return found


def _tanks_of_dams(pups: Collection[Pup]) -> dict[tuple[int, Date], Tank]:
    """Where each dam was on the day of each birth."""
    births = {(pup.litter.dam_id, pup.day) for pup in pups}
    found: dict[tuple[int, Date], Tank] = {}
    stays = Stay.objects.filter(animal__in={dam for dam, _ in births}).select_related("tank")
    for stay in stays.order_by("since", "pk"):
        for dam, born_on in births:
            if dam == stay.animal_id and _was_in(stay, born_on):
                found[dam, born_on] = stay.tank
    return found


def _was_in(stay: Stay, on: Date) -> bool:
    return stay.since <= on and (stay.until is None or on <= stay.until)


def _age(born_on: Date | None, died_on: Date | None) -> int | None:
    return (died_on - born_on).days if born_on and died_on else None
