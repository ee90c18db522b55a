"""What animals ate, refused and feed on: questions by their keys; they write nothing.

Each asks a number of queries that grows neither with the animals nor with the meals on record.
"""

import datetime
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from decimal import Decimal
from itertools import groupby
from typing import NamedTuple

from django.db.models import Model, OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from breeding.animals import lineage, revisions
from breeding.animals.around import everybody_around
from breeding.animals.models import Animal, Measurement
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.feeding.appetite import (
    Appetite,
    Refusal,
    Seen,
    left_of_late,
    self_feeding_since,
    standing,
)
from breeding.feeding.models import Feeding, Meal
from breeding.feeding.renewed import RENEWED
from breeding.housing.models import Tank
from breeding.housing.stays.lately import in_tanks_after
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.parts import alike, in_parts
from breeding.program.problems.doubts import threshold
from breeding.program.problems.several import named_in
from breeding.program.unchanged.each import About, kept_of_each

Date = datetime.date
DAY = datetime.timedelta(days=1)
LATELY_DAYS = 60  # what it feeds on is said of the foods taken within so many days
FEW_ROUNDS = 2  # one round that an animal is not on record for says nothing of it

ALL, LITTLE, NONE = Meal.Took.ALL, Meal.Took.LITTLE, Meal.Took.NONE
SeenSource = Callable[[Collection[int], datetime.datetime], Iterable[Seen]]
BirthSource = Callable[[Collection[int]], Iterable[tuple[int, Date]]]
_seen_sources: list[SeenSource] = []
_birth_sources: list[BirthSource] = []


def add_seen(source: SeenSource, growing: Mapping[type[Model], About]) -> None:
    """Rooms above add what they know: (keys, up to when) to what was seen beside meals.

    growing: the tables it reads to which rows are added every day, and of whom those are.
    """
    if source not in _seen_sources:
        _seen_sources.append(source)
        RENEWED.update(growing)


def add_births(source: BirthSource) -> None:
    """And the days on which these gave birth: a birth ends the refusal right before it."""
    if source not in _birth_sources:
        _birth_sources.append(source)


def end_of(on: Date) -> datetime.datetime:
    """The midnight after a day, where the program is."""
    return datetime.datetime.combine(on + DAY, datetime.time(), timezone.get_current_timezone())


def counting_meals() -> QuerySet[Meal]:
    return Meal.objects.filter(feeding__withdrawn_at__isnull=True)


# ------------------------------------------------------------------------------------ appetites


def appetites(keys: Iterable[int], asof: Date) -> dict[int, Appetite]:
    """How each of these eats, as of the end of a day, from meals and from what else was seen.

    Everybody asked for is in it. A query, one more for those who refused anything, and those of
    the rooms above; in a request that only reads, nobody is asked about twice.
    """
    wanted = set(keys)
    held: dict[int, Appetite] = remembered_while_reading(f"appetites:{asof}", dict)
    if missing := wanted - held.keys():
        held |= kept_of_each(
            ("appetites", asof), missing, lambda keys: _appetites(keys, asof), RENEWED
        )
    return {key: held[key] for key in wanted if key in held}


def _appetites(keys: Collection[int], asof: Date) -> dict[int, Appetite]:
    until = end_of(asof)
    rows = list(_latest_of(keys, until))
    left, seen = _left_meals(rows, until), _seen(keys, until)
    births = _births({*left, *(key for key, found in seen.items() if found)})
    now = revisions.current()
    shares, profiles = lineage.current(now).shares, all_profiles(now)
    return {
        row.pk: _appetite(
            row,
            left.get(row.pk, []),
            seen.get(row.pk, []),
            births.get(row.pk, []),
            profiles.of(shares.get(row.pk, {})),
            asof,
        )
        for row in rows
    }


def appetites_each(asked: Mapping[int, Date]) -> dict[int, Appetite]:
    """The same of each as of the end of a day of its own: few queries of those of whom no meal is
    on record and nothing else was seen, however many they are, and a few for each day of others.
    """
    if not asked:
        return {}
    until = end_of(max(asked.values()))
    told = eating_on_record(asked)
    for keys in in_parts(list(asked)):
        told |= {key for key, seen in _seen(keys, until).items() if seen}
    found: dict[int, Appetite] = {}
    for asof, keys in alike(asked, told):
        found |= appetites(keys, asof)
    now = revisions.current()
    shares, profiles = lineage.current(now).shares, all_profiles(now)
    for keys in in_parts([key for key in asked if key not in told]):
        for row in _latest_of(keys, until):
            figures = profiles.of(shares.get(row.pk, {}))
            found[row.pk] = _appetite(row, (), (), (), figures, asked[row.pk])
    return found


def eating_on_record(keys: Iterable[int]) -> set[int]:
    """Those of these of whom any meal is on record."""
    return named_in(counting_meals(), "animal", keys)


class _Latest(NamedTuple):
    """Of one animal: when it took all and little, refused, and first took either; age and width."""

    pk: int
    sex: str
    born_on: Date | None
    taken_at: datetime.datetime | None
    little_at: datetime.datetime | None
    refused_at: datetime.datetime | None
    first_at: datetime.datetime | None
    first_little_at: datetime.datetime | None
    width_mm: int | None


def _latest_of(keys: Collection[int], until: datetime.datetime) -> Iterable[_Latest]:
    """One query, however many meals there are: each is found by the index of its animal."""
    own = counting_meals().filter(animal=OuterRef("pk"), fed_at__lt=until)
    widths = Measurement.objects.filter(animal=OuterRef("pk"), disc_width_mm__isnull=False)

    def at(took: str, order: str) -> Subquery:
        return Subquery(own.filter(took=took).order_by(order).values("fed_at")[:1])

    rows = Animal.every.filter(pk__in=sorted(keys)).values_list(
        "pk",
        "sex",
        "born_on",
        at(ALL, "-fed_at"),
        at(LITTLE, "-fed_at"),
        at(NONE, "-fed_at"),
        at(ALL, "fed_at"),
        at(LITTLE, "fed_at"),
        Subquery(widths.order_by("-on", "-pk").values("disc_width_mm")[:1]),
    )
    return (_Latest(*row) for row in rows)


class _Left(NamedTuple):
    """A meal that was refused, and when food was taken next; None: not yet."""

    refusal: Refusal
    taken_at: datetime.datetime | None


def _left_meals(rows: Iterable[_Latest], until: datetime.datetime) -> dict[int, list[_Left]]:
    """Meals refused lately, and those since the last that was taken: one query, of who did."""
    lately = until - LATELY_DAYS * DAY
    refusing = [
        one.pk
        for one in rows
        if one.refused_at
        and (one.taken_at is None or one.refused_at > one.taken_at or one.refused_at >= lately)
    ]
    found: dict[int, list[_Left]] = defaultdict(list)
    if not refusing:
        return found
    later = counting_meals().filter(
        animal=OuterRef("animal"), took=ALL, fed_at__gt=OuterRef("fed_at"), fed_at__lt=until
    )
    meals = counting_meals().filter(animal__in=refusing, took=NONE, fed_at__lt=until)
    meals = meals.annotate(next=Subquery(later.order_by("fed_at").values("fed_at")[:1]))
    meals = meals.filter(Q(fed_at__gte=lately) | Q(next__isnull=True)).order_by("fed_at", "pk")
    for pk, animal, at, taken_at in meals.values_list("pk", "animal", "fed_at", "next"):
        found[animal].append(_Left(Refusal(at, day_of(at), f"m{pk}"), taken_at))
    return found


def _births(keys: Collection[int]) -> dict[int, list[Date]]:
    """Of those who refused anything: nobody else's births matter here."""
    found: dict[int, list[Date]] = defaultdict(list)
    for source in _birth_sources if keys else ():
        for animal, on in source(keys):
            found[animal].append(on)
    return found


def _seen(keys: Collection[int], until: datetime.datetime) -> dict[int, list[Seen]]:
    found: dict[int, list[Seen]] = defaultdict(list)
    for source in _seen_sources:
        for one in source(keys, until):
            found[one.animal].append(one)
    return found


def _appetite(
    row: _Latest,
    left: Sequence[_Left],
    seen: Sequence[Seen],
    births: Sequence[Date],
    figures: Figures,
    asof: Date,
) -> Appetite:
    left = _without_yolk(row, left)
    judged = [
        Refusal(one.at, day_of(one.at), one.mark, is_judged=True)
        for one in seen
        if one.what == "refused"
    ]
    taken = [one.at for one in seen if one.what == "taken"]
    taken_at = max([*taken, *([row.taken_at] if row.taken_at else [])], default=None)
    age = "young" if is_young(row.born_on, row.sex, row.width_mm, figures, asof) else "grown"
    alarm_days = round(figures.figure(f"refused_{age}_days"))
    first_on = day_of(row.first_at) if row.first_at else None
    ate_first_at = min(filter(None, (row.first_at, row.first_little_at)), default=None)
    return Appetite(
        taken_at=taken_at,
        taken_on=day_of(taken_at) if taken_at else None,
        little_on=day_of(row.little_at) if row.little_at else None,
        first_on=first_on,
        ate_first_on=day_of(ate_first_at) if ate_first_at else None,
        refusals=standing([*judged, *(one.refusal for one in left)], taken_at, births),
        alarm_days=alarm_days,
        silence_days=round(figures.figure(f"silent_{age}_days")),
        is_young=age == "young",
        born_on=row.born_on,
        has_meals=any((row.first_at, row.little_at, row.refused_at)),
        fed_since=self_feeding_since(first_on, _runs(left), alarm_days),
        left_lately=left_of_late((one.refusal.on for one in left), asof),
    )


def _runs(left: Sequence[_Left]) -> Iterable[tuple[int, Date | None]]:
    """Each time that food was refused: those before the same next meal are one."""
    for taken_at, run in groupby(left, key=lambda one: one.taken_at):
        yield len({one.refusal.on for one in run}), day_of(taken_at) if taken_at else None


def _without_yolk(row: _Latest, left: Sequence[_Left]) -> list[_Left]:
    """Without what a newborn that has never eaten leaves: it may still live on its yolk."""
    if row.first_at is not None or row.born_on is None:
        return list(left)
    return [one for one in left if one.refusal.on > yolk_until(row.born_on)]


def yolk_until(born_on: Date) -> Date:
    """Until when nobody wonders that a newborn does not eat yet."""
    return born_on + round(threshold("yolk_days")) * DAY


def is_young(
    born_on: Date | None, sex: str, width_mm: int | None, figures: Figures, asof: Date
) -> bool:
    """Whether it eats as a young one: by its age, or of an unknown age by its width.

    Where nothing is known of either it counts as grown.
    """
    if born_on is not None:
        return (asof - born_on).days < threshold("grown_days")
    words = "female" if sex == Animal.Sex.FEMALE else "male"
    return width_mm is not None and width_mm < figures.figure(f"mature_{words}_mm")


def day_of(at: datetime.datetime) -> Date:
    return timezone.localtime(at).date()


# --------------------------------------------------------------------------- what rooms above ask


class Eaten(NamedTuple):
    """The last food taken: when, on which day, and what; `took` says how much of it."""

    at: datetime.datetime
    on: Date
    food: str
    took: str


def last_eaten(keys: Iterable[int], asof: Date) -> dict[int, Eaten]:
    """The last meal, taken whole or in part, of each that has one on record: two queries."""
    own = counting_meals().filter(animal=OuterRef("pk"), fed_at__lt=end_of(asof))

    def latest(took: str) -> Subquery:
        return Subquery(own.filter(took=took).order_by("-fed_at", "-pk").values("pk")[:1])

    rows = Animal.every.filter(pk__in=set(keys)).values_list(latest(ALL), latest(LITTLE))
    meals = Meal.objects.filter(pk__in=[pk for row in rows for pk in row if pk is not None])
    found = {
        meal.animal_id: Eaten(
            meal.fed_at,
            day_of(meal.fed_at),
            str(meal.feeding.food) if meal.feeding.food else "",
            meal.took,
        )
        for meal in meals.select_related("feeding__food").order_by("fed_at", "pk")
    }
    return found


def feeding_since(keys: Iterable[int], asof: Date) -> dict[int, Date | None]:
    """Since when each has fed by itself; None for one that refuses now, or never ate.

    The day of its first meal, or of the first after food was refused for so many days, within the
    last `LATELY_DAYS`, that it was an alarm. Left out: of whom no meal is on record.
    """
    return {
        key: None if one.is_off_food else one.fed_since
        for key, one in appetites(keys, asof).items()
        if one.has_meals
    }


# ------------------------------------------------------------------------------------- silence


class Silent(NamedTuple):
    """One that was not seen to eat while others of its tank were fed.

    since: its last meal, or the day it came to its tank (`has_eaten` False).
    """

    animal: int
    since: Date
    days: int
    rounds: int
    tank: str
    has_eaten: bool


def silent(asof: Date) -> list[Silent]:
    """Who is here and has not eaten for so long that it is an alarm; three queries, and appetites.

    Silence weighs only where somebody feeds: in a tank with rounds on record in these days. One
    that refuses is not among them: that is said of it already.
    """
    by_animal = {stay.animal_id: stay for stay in in_tanks_after(asof) if stay.animal.is_here}
    asked = {
        pk: (one, since)
        for pk, one in appetites(by_animal, asof).items()
        if not one.refusals
        and (asof - (since := one.ate_on or _expected_since(one, by_animal[pk].since))).days
        >= one.silence_days
    }
    fed = rounds_of_late(asof) if asked else {}
    found = []
    for pk, (one, since) in asked.items():
        stay, days = by_animal[pk], (asof - since).days
        rounds = [on for on, _ in fed.get(stay.tank_id, ()) if on > since]
        # Before today's food is given nobody can have eaten it: the last round counts, not today.
        if len(rounds) >= FEW_ROUNDS and (max(rounds) - since).days >= one.silence_days:
            has_eaten = one.ate_on is not None
            found.append(Silent(pk, since, days, len(rounds), str(stay.tank), has_eaten))
    return sorted(found, key=lambda one: (-one.days, one.animal))


def leaving_again(asof: Date) -> dict[int, Appetite]:
    """The young here that left food on several of the last days, though they ate between.

    Appetites of all that are here, which the page has read already.
    """
    keys = [one.pk for one in everybody_around() if one.is_here]
    return {key: one for key, one in sorted(appetites(keys, asof).items()) if one.leaves_again}


def _expected_since(one: Appetite, here_since: Date) -> Date:
    """From when one that never ate was to eat here."""
    return max(here_since, yolk_until(one.born_on)) if one.born_on else here_since


def rounds_of_late(
    asof: Date, tanks: Collection[Tank] | None = None, days: int = 14
) -> dict[int, list[tuple[Date, Decimal | None]]]:
    """The days of the rounds of each tank lately with how much it was: one query."""
    until = end_of(asof)
    rows = Feeding.objects.filter(
        withdrawn_at__isnull=True, fed_at__lt=until, fed_at__gte=until - days * DAY
    )
    rows = rows.filter(tank__isnull=False) if tanks is None else rows.filter(tank__in=tanks)
    found: dict[int, list[tuple[Date, Decimal | None]]] = defaultdict(list)
    for tank, at, grams in rows.values_list("tank", "fed_at", "amount_g"):
        found[tank].append((day_of(at), grams))
    return found
