"""Who is where and was: questions that gather several rows; they write nothing."""

import datetime
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.db.models import Count, Exists, OuterRef, Prefetch, Q, QuerySet

from breeding.animals.away.gone import GONE, is_gone_by
from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.lately import in_tanks_now
from breeding.housing.water.queries import water_fit, water_fits
from breeding.words.days import long_day
from breeding.words.language import tell

__all__ = [  # the water's readings can be asked for here too
    "companions",
    "free_tanks",
    "in_no_tank",
    "present_stays",
    "stays_of",
    "stays_over",
    "tank_is_free",
    "tanks_in_use",
    "tanks_now",
    "tanks_with_animals",
    "water_fit",
    "water_fits",
    "where_are",
    "with_water",
]


def present_stays() -> QuerySet[Stay]:
    """Open stays of animals that are here; one that died or left is in no tank any more."""
    return Stay.objects.filter(until__isnull=True).exclude(animal__state__in=GONE)


def where_are(animals: Iterable[Animal]) -> dict[int, Stay]:
    """The present stay of each of these animals, by the animal's key: one query."""
    stays = present_stays().filter(animal__in=[animal.pk for animal in animals])
    return {stay.animal_id: stay for stay in stays.select_related("tank")}


def with_those_beside(animal: Animal) -> list[Stay]:
    """Its present stay and those of the same tank, the longest first: one query, for its page."""
    tank = present_stays().filter(animal=animal).values("tank")
    there = present_stays().filter(tank__in=tank).select_related("tank", "animal")
    return list(there.order_by("since", "pk"))


def companions(animal: Animal) -> list[Animal]:
    """The others in its tank now, on its side of a closed divider: two queries.

    Nobody for an animal in no tank.
    """
    stay = present_stays().filter(animal=animal).first()
    if stay is None:
        return []
    sides = ["", stay.side] if stay.side else Stay.Side.values
    beside = present_stays().filter(tank=stay.tank_id, side__in=sides).exclude(animal=animal)
    return list(Animal.objects.filter(stays__in=beside).order_by("call_name", "code"))


def tanks_with_animals() -> QuerySet[Tank]:
    """Every tank with those in it now as `present_stays`, left side first: two queries."""
    present = present_stays().select_related("animal", "tank")
    present = present.order_by("side", "animal__call_name", "animal__code")
    tanks = Tank.objects.select_related("system")
    return tanks.prefetch_related(Prefetch("stays", present, "present_stays"))


def tanks_in_use() -> list[tuple[Tank, int]]:
    """Every tank with anybody in it now, and how many: two queries, and no record of an animal."""
    inside = dict(present_stays().order_by().values_list("tank").annotate(Count("pk")))
    return [(tank, inside[tank.pk]) for tank in Tank.objects.all() if tank.pk in inside]


def inside_now(tank: Tank) -> list[Animal]:
    """Who is in a tank now, left side first: one query."""
    stays = present_stays().filter(tank=tank).select_related("animal")
    ordered = stays.order_by("side", "animal__call_name", "animal__code")
    return [stay.animal for stay in ordered]


def tanks_now(today: datetime.date) -> list[Tank]:
    """`tanks_with_animals` of what the page reads anyway: for pages that show all of them."""
    inside: dict[int, list[Stay]] = defaultdict(list)
    for stay in in_tanks_now(today):
        inside[stay.tank_id].append(stay)
    tanks = list(Tank.objects.select_related("system"))
    for tank in tanks:
        tank.present_stays = sorted(  # type: ignore[attr-defined]
            inside[tank.pk], key=lambda one: (one.side, one.animal.call_name, one.animal.code)
        )
    return tanks


def in_no_tank() -> QuerySet[Animal]:
    """Animals that are here and in no tank on record; one that is lent has none to be in."""
    housed = present_stays().filter(animal=OuterRef("pk"))
    found = Animal.objects.filter(state=Animal.State.HERE).filter(~Exists(housed))
    return found.order_by("call_name", "code")


def stays_of(animals: Iterable[Animal]) -> dict[int, list[Stay]]:
    """All stays that count of each of these animals, oldest first, by its key: one query.

    `stay.ended_on` is the day it ended, also for one that died or left and was not moved out.
    """
    found: dict[int, list[Stay]] = {animal.pk: [] for animal in animals}
    stays = Stay.objects.filter(animal__in=list(found)).select_related("animal", "tank")
    for stay in stays.order_by("since", "pk"):
        found[stay.animal_id].append(stay)
    return found


def stays_over(on: datetime.date) -> QuerySet[Stay]:
    """Stays of animals that were in a tank at the end of a day: moved out that day is out."""
    gone = Q(until__isnull=True, animal__state__in=GONE) & (
        Q(animal__state_on__isnull=True) | Q(animal__state_on__lte=on)
    )
    return Stay.objects.filter(since__lte=on).exclude(until__lte=on).exclude(gone)


def were_inside(stays: Iterable[Stay], on: datetime.date) -> list[Stay]:
    """Of stays that are read already, with their animals, those of `stays_over`."""

    def counts(stay: Stay) -> bool:
        if stay.since > on or (stay.until is not None and stay.until <= on):
            return False
        return not (stay.until is None and is_gone_by(stay.animal, on))

    return [stay for stay in stays if counts(stay)]


def tank_is_free(tank: Tank, on: datetime.date) -> bool:
    """Whether nobody is in this tank at the end of a day: one query."""
    return not stays_over(on).filter(tank=tank).exists()


def free_tanks(on: datetime.date) -> list[Tank]:
    """Tanks with nobody in them at the end of a day, by name: one query."""
    taken = stays_over(on).filter(tank=OuterRef("pk"))
    return list(Tank.objects.select_related("system").filter(~Exists(taken)))


@dataclass(frozen=True)
class Place:
    """Where an animal can be put: a tank, or one side of its divider, with those in it now.

    room: what is said of the room there with those who are to be put in; nothing where there is.
    unfit: why its water is not fit; nothing where it is, or where that is not known.
    """

    tank: Tank
    side: str
    stays: tuple[Stay, ...]
    room: str = ""
    unfit: str = ""

    @property
    def key(self) -> str:
        """As a form sends it: "12" or "12:left"."""
        return f"{self.tank.pk}:{self.side}" if self.side else f"{self.tank.pk}"

    def __str__(self) -> str:
        return Stay(tank=self.tank, side=self.side).place


def is_divided(tank: Tank) -> bool:
    """Whether the divider is closed now; for a tank out of `tanks_with_animals`. No query."""
    return any(stay.side for stay in tank.present_stays)  # type: ignore[attr-defined]


def places(tanks: Iterable[Tank]) -> list[Place]:
    """Where an animal can be put now, for tanks out of `tanks_with_animals`: no query.

    Both sides of a closed divider; of an empty tank with a divider the whole and each side.
    """
    found = []
    for tank in tanks:
        inside = tuple(tank.present_stays)  # type: ignore[attr-defined]
        divided = is_divided(tank)
        if not divided:
            found.append(Place(tank, "", inside))
        if divided or (tank.can_divide and not inside):
            for side in (Stay.Side.LEFT, Stay.Side.RIGHT):
                here = tuple(stay for stay in inside if stay.side in ("", side))
                found.append(Place(tank, side, here))
    return found


def with_water(found: Iterable[Place], *, asof: datetime.date) -> list[Place]:
    """The same places, each with why its water is not fit on a day: as many queries as of one."""
    found = list(found)
    fits = water_fits({place.tank.pk: place.tank for place in found}.values(), asof)
    unfit = {pk: fit.because for pk, fit in fits.items() if fit.fit is False}
    return [replace(place, unfit=unfit.get(place.tank.pk, "")) for place in found]


def by_side(stays: Iterable[Stay]) -> list[tuple[str, str, list[Stay]]]:
    """Stays by their side and what it is called, the whole tank first; empty sides left out."""
    groups: dict[str, list[Stay]] = defaultdict(list)
    for stay in stays:
        groups[stay.side].append(stay)
    return [
        (side, str(Stay.Side(side).label), groups[side])
        for side in Stay.Side.values
        if groups[side]
    ]


def stays_with_sides(tank: Tank) -> QuerySet[Stay]:
    """Present stays on a side of this tank's closed divider; none while it is open."""
    return present_stays().filter(tank=tank).exclude(side="")


def old_news_words(animal: Animal, on: datetime.date) -> str:
    """What is on record after a day, when a move on that day would be old news; else "". One query.

    So that a mistyped year asks first.
    """
    last = Stay.objects.filter(animal=animal).select_related("tank").order_by("since", "pk").last()
    if last is None or on >= (last.until or last.since):
        return ""
    said = {"animal": animal.name, "place": last.place, "came": long_day(last.since)}
    if last.until:
        return tell(
            "{animal} came to {place} on {came} and left it on {left}; {day} is before that. If it "
            "is old news, tick so below: the stays on record make room for it.",
            **said,
            left=long_day(last.until),
            day=long_day(on),
        )
    return tell(
        "{animal} came to {place} on {came}; {day} is before that. If it is old news, tick so "
        "below: the stays on record make room for it.",
        **said,
        day=long_day(on),
    )
