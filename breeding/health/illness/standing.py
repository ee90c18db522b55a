"""What stands of illness and treatment: of everybody for the day, of one animal or tank."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import F, Q, QuerySet

from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.health.hold import Hold
from breeding.health.holds import holds_on, treated_in_water, treatments_holding
from breeding.health.models import Observation, Treatment, Visit
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import stays_over

Date = datetime.date
SHOWN = 30
LATELY_DAYS = 7  # for so long the day says that something has ended


def open_observations(on: Date) -> list[Observation]:
    """Of everybody who is here or on loan, oldest first: one query."""
    rows = Observation.objects.filter(over_on__isnull=True, since__lte=on)
    rows = rows.exclude(animal__state__in=GONE).exclude(animal__withdrawn_at__isnull=False)
    return list(rows.select_related(*_OF_OBSERVATION).order_by("since", "pk"))


def standing_treatments(on: Date, *, begun_by: Date | None = None) -> list[Treatment]:
    """Those that go on, or hold somebody, of whoever is not gone: one query.

    begun_by: with those that began after the day, up to this one.
    """
    rows = Treatment.objects.filter(treatments_holding(on, begun_by=begun_by or on))
    rows = rows.exclude(animal__state__in=GONE)
    return list(rows.select_related("animal__portrait", "tank__system").order_by("since", "pk"))


def lately_treated(on: Date, *, days: int = LATELY_DAYS) -> list[Treatment]:
    """Those that go on or hold somebody, or did so many days ago: one query."""
    return standing_treatments(on - datetime.timedelta(days=days), begun_by=on)


def visits_to_follow(on: Date) -> list[Visit]:
    """After which somebody is to look again, and by that day nobody has been since: two queries.

    Not of who is gone, nor of a tank that was given up.
    """
    made = Visit.objects.filter(on__lte=on)
    asked = made.filter(look_again_on__isnull=False).exclude(animal__state__in=GONE)
    asked = asked.exclude(tank__withdrawn_at__isnull=False)
    rows = asked.select_related("animal__portrait", "tank")
    found = list(rows.order_by("look_again_on", "pk"))
    later = made.filter(
        Q(animal__in=[one.animal_id for one in found]) | Q(tank__in=[one.tank_id for one in found])
    )
    latest: dict[tuple[int | None, int | None], Date] = {}
    for animal, tank, day in later.order_by("on").values_list("animal", "tank", "on"):
        latest[animal, tank] = day
    return [one for one in found if latest[one.animal_id, one.tank_id] <= one.on]


_OF_OBSERVATION = ("animal__portrait", "photograph", "recorded_by")


def ailing(keys: Iterable[int], on: Date) -> dict[int, list[Observation]]:
    """What was seen of each of these and not seen to be over by a day: one query."""
    over_later = Q(over_on__isnull=True) | Q(over_on__gt=on)
    found: dict[int, list[Observation]] = {}
    for one in Observation.objects.filter(over_later, animal__in=list(keys), since__lte=on):
        found.setdefault(one.animal_id, []).append(one)
    return found


@dataclass(frozen=True)
class HealthOfOne:
    """What its page says: open things first, then what is over."""

    animal: Animal
    open: Sequence[Observation]
    over: Sequence[Observation]
    treatments: Sequence[Treatment]
    ended: Sequence[Treatment]
    visits: Sequence[Visit]
    holds: Sequence[Hold]
    withdrawn: Sequence[Observation | Treatment | Visit]

    @property
    def past(self) -> int:
        return len(self.over) + len(self.ended) + len(self.visits)


def health_of(animal: Animal, on: Date) -> HealthOfOne:
    """A constant number of queries; of each kind the latest."""
    rows = Observation.every.filter(animal=animal).order_by(
        F("over_on").desc(nulls_first=True), "-since", "-pk"
    )
    seen = list(rows.select_related(*_OF_OBSERVATION, "withdrawn_by")[:SHOWN])
    given = treatments_of(animal, on)
    visits = list(
        Visit.every.filter(animal=animal).select_related("recorded_by", "withdrawn_by")[:SHOWN]
    )
    counting = [one for one in seen if not one.is_withdrawn]
    own = Treatment.every.filter(animal=animal, withdrawn_at__isnull=False)
    withdrawn: list[Observation | Treatment | Visit] = []
    withdrawn += [one for one in seen if one.is_withdrawn]
    withdrawn += [one for one in visits if one.is_withdrawn]
    withdrawn += own.select_related("animal", "tank", "withdrawn_by")[:SHOWN]
    return HealthOfOne(
        animal,
        [one for one in counting if one.over_on is None],
        [one for one in counting if one.over_on is not None],
        [one for one in given if one.goes_on(on)],
        [one for one in given if not one.goes_on(on)][:SHOWN],
        [one for one in visits if not one.is_withdrawn],
        holds_on([animal.pk], on).get(animal.pk, ()),
        withdrawn,
    )


def treatments_of(animal: Animal, on: Date) -> list[Treatment]:
    """Of itself and of the water it was in, the latest first, begun by a day: three queries."""
    return treatments_of_all([animal.pk], on).get(animal.pk, [])


def treatments_of_all(keys: Iterable[int], on: Date) -> dict[int, list[Treatment]]:
    """By animal, the latest first: three queries at most, bounded by these animals' waters."""
    keys = list(keys)
    if not keys:
        return {}
    places = Stay.objects.filter(animal__in=keys, since__lte=on).order_by()
    of_water = Q(tank__in=places.values("tank"))
    of_water |= Q(tank__system__in=places.filter(tank__system__isnull=False).values("tank__system"))
    rows = list(
        Treatment.objects.filter(Q(animal__in=keys) | of_water, since__lte=on)
        .select_related("animal", "tank", "recorded_by")
        .order_by("-since", "-pk")
    )
    reached = treated_in_water([row for row in rows if row.tank_id is not None], keys, on)
    of: dict[int, set[int]] = {}
    for key, row in reached:
        of.setdefault(row.pk, set()).add(key)
    found: dict[int, list[Treatment]] = {}
    for row in rows:
        for key in [row.animal_id] if row.animal_id is not None else sorted(of.get(row.pk, ())):
            found.setdefault(key, []).append(row)
    return found


def of_the_water(tank: Tank) -> QuerySet[Treatment]:
    """Treatments of this tank, and of those that share its water, the withdrawn ones too."""
    same = Q(tank=tank)
    if tank.system_id is not None:
        same |= Q(tank__system=tank.system_id)
    rows = Treatment.every.filter(same)
    return rows.select_related("tank__system", "recorded_by", "withdrawn_by")


def inside(tank: Tank, on: Date) -> list[Animal]:
    """Who is in a tank at the end of a day, by name: one query."""
    stays = stays_over(on).filter(tank=tank).select_related("animal")
    return [stay.animal for stay in stays.order_by("animal__call_name", "animal__code")]
