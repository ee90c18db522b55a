"""What a page says before somebody feeds: who is there, what they had last, who does not eat."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Count, Exists, OuterRef, Q
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.feeding.appetite import AGAIN_OF_DAYS, Appetite
from breeding.feeding.models import Feeding, Food, Meal
from breeding.feeding.queries import (
    DAY,
    LATELY_DAYS,
    appetites,
    end_of,
    last_eaten,
    latest_rounds,
    rounds_of_late,
)
from breeding.feeding.rations.bodies import Suggestion, bodies_of, suggestion_for
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import present_stays, tanks_with_animals
from breeding.program.models import Program
from breeding.words.days import distance, short_day
from breeding.words.food import food_amount
from breeding.words.language import later, strung, tell, tell_many
from breeding.words.numbers import some

Date = datetime.date
WEEK_DAYS = 7
FEW_DAYS = 14
MOST_NAMED = 6
ROUNDS_ON_A_PAGE = 40


@dataclass(frozen=True)
class Eater:
    """One that is to be fed, and what is to be said of its appetite; nothing where all is well."""

    animal: Animal
    words: str
    is_alarm: bool
    side: str = ""


@dataclass(frozen=True)
class Round:
    """Those who are fed together, with the last round and what to give them now.

    given: what was weighed for them in the last seven days, in grams; None: nothing was.
    """

    eaters: tuple[Eater, ...]
    last: Feeding | None
    suggestion: Suggestion
    tank: Tank | None = None
    rounds_lately: int = 0
    given_g: Decimal | None = None
    asof: Date = field(default=datetime.date.min, repr=False)

    @property
    def animals(self) -> list[Animal]:
        return [one.animal for one in self.eaters]

    @property
    def noticed(self) -> list[Eater]:
        """Those of whom there is something to say, alarms first."""
        return sorted((one for one in self.eaters if one.words), key=lambda one: not one.is_alarm)

    @property
    def is_fed_today(self) -> bool:
        last = self.last
        return last is not None and timezone.localtime(last.fed_at).date() == self.asof


def rounds_of(program: Program, asof: Date, page: str | None = None) -> Page[Any]:
    """A page of the tanks with somebody in them, those not fed today first; of these alone who is
    in them and how they eat is read. The queries do not grow.
    """
    tanks = list(Tank.objects.filter(Exists(present_stays().filter(tank=OuterRef("pk")))))
    lasts = latest_rounds(tanks)
    fed = {key for key, last in lasts.items() if timezone.localtime(last.fed_at).date() == asof}
    in_order = sorted(tanks, key=lambda one: (one.pk in fed, one.name))
    keys: list[Any] = [one.pk for one in in_order]
    found = Paginator(keys, ROUNDS_ON_A_PAGE).get_page(page)
    shown = tanks_with_animals().in_bulk(list(found))
    found.object_list = _of_tanks([shown[key] for key in found], program, asof)
    return found


def round_of_tank(tank: Tank, program: Program, asof: Date) -> Round | None:
    """Of one tank; None while nobody is in it."""
    tanks = [one for one in tanks_with_animals().filter(pk=tank.pk) if one.present_stays]  # type: ignore[attr-defined]
    return next(iter(_of_tanks(tanks, program, asof)), None)


def round_of_animals(animals: Sequence[Animal], program: Program, asof: Date) -> Round:
    """Of some animals wherever they are: a litter, or one."""
    known = appetites([one.pk for one in animals], asof)
    bodies = bodies_of(animals, asof, program=program)
    eaten = last_eaten([one.pk for one in animals], asof)
    latest = max(eaten.values(), key=lambda one: one.at, default=None)
    last = None
    if latest is not None:
        rounds = Feeding.objects.filter(meals__animal__in=animals, fed_at=latest.at)
        last = rounds.filter(withdrawn_at__isnull=True).select_related("food").first()
    return Round(
        eaters=tuple(_eater(one, known[one.pk], asof) for one in animals),
        last=last,
        suggestion=suggestion_for(bodies, unit=program.weight_unit, rounds_a_week=None),
        asof=asof,
    )


def _of_tanks(tanks: Sequence[Tank], program: Program, asof: Date) -> list[Round]:
    stays: dict[int, list[Stay]] = {tank.pk: list(tank.present_stays) for tank in tanks}  # type: ignore[attr-defined]
    animals = [stay.animal for inside in stays.values() for stay in inside]
    known = appetites([one.pk for one in animals], asof)
    bodies = {one.animal.pk: one for one in bodies_of(animals, asof, program=program)}
    lasts, late = latest_rounds(tanks), rounds_of_late(asof, tanks)
    found = []
    for tank in tanks:
        inside, rounds = stays[tank.pk], late.get(tank.pk, [])
        a_week = len(rounds) * WEEK_DAYS / FEW_DAYS
        weighed = [grams for on, grams in rounds if grams and (asof - on).days < WEEK_DAYS]
        found.append(
            Round(
                eaters=tuple(_eater(one.animal, known[one.animal_id], asof, one) for one in inside),
                last=lasts.get(tank.pk),
                suggestion=suggestion_for(
                    [bodies[one.animal_id] for one in inside],
                    unit=program.weight_unit,
                    rounds_a_week=a_week or None,
                ),
                tank=tank,
                rounds_lately=len(rounds),
                given_g=sum(weighed, Decimal()) if weighed else None,
                asof=asof,
            )
        )
    return found


def _eater(animal: Animal, appetite: Appetite, asof: Date, stay: Stay | None = None) -> Eater:
    side = stay.get_side_display() if stay is not None and stay.side else ""
    return Eater(animal, appetite_words(appetite, asof), appetite.is_off_food, side)


def appetite_words(one: Appetite, asof: Date) -> str:
    """What there is to say of it: what it refused, or how long ago it ate; empty for nothing.

    >>> from breeding.feeding.appetite import Refusal
    >>> march = [Date(2026, 3, day) for day in (1, 2, 5)]
    >>> at = datetime.datetime(2026, 3, 2, 9, tzinfo=datetime.UTC)
    >>> left = tuple(Refusal(at, on, "m1") for on in march[:2])
    >>> appetite_words(Appetite(refusals=left[:1], alarm_days=2), march[1])
    'refused yesterday'
    >>> appetite_words(Appetite(refusals=left, alarm_days=2, taken_on=Date(2026, 2, 27)), march[2])
    'off food: refused on 2 days since 1 Mar, last ate 27 Feb'
    >>> again = Appetite(left_lately=(march[0], march[2]), alarm_days=2, is_young=True)
    >>> appetite_words(again, march[2])
    'left food on 2 days of 4'
    >>> appetite_words(Appetite(taken_on=march[0], silence_days=3), march[2])
    'last ate 4 days ago'
    """
    if one.is_off_food or one.leaves_again or one.refusals:
        said = _refused_words(one, asof)
        if one.ate_on is None:
            return said
        day = short_day(one.ate_on, asof)
        return tell("{refused}, last ate {day}", refused=said, day=day)
    if one.ate_on and (asof - one.ate_on).days >= min(one.silence_days, FEW_DAYS):
        return tell("last ate {when}", when=distance(one.ate_on, asof))
    return ""


def _refused_words(one: Appetite, asof: Date) -> str:
    if one.is_off_food:
        return tell_many(
            "off food: refused on {number} day since {day}",
            "off food: refused on {number} days since {day}",
            one.days_refused,
            day=short_day(one.refusals[0].on, asof),
        )
    if one.leaves_again:
        return tell_many(
            "left food on {number} day of {days}",
            "left food on {number} days of {days}",
            len(one.left_lately),
            days=AGAIN_OF_DAYS,
        )
    return tell("refused {when}", when=distance(one.refusals[-1].on, asof))


def food_of_last_time(*, tanks: Sequence[int], animals: Sequence[int]) -> int | None:
    """The key of what any of these tanks and animals were given last: one query."""
    theirs = Q(tank__in=tanks) | Q(meals__animal__in=animals)
    given = Feeding.objects.filter(
        theirs, withdrawn_at__isnull=True, food__withdrawn_at__isnull=True
    )
    return given.order_by("-fed_at", "-pk").values_list("food", flat=True).first()


def foods_to_offer(first: Food | None, asof: Date) -> Sequence[Food]:
    """Every food, the one of last time first, then those that are given most: one query."""
    until = end_of(asof)
    lately = Q(
        feedings__withdrawn_at__isnull=True,
        feedings__fed_at__lt=until,
        feedings__fed_at__gte=until - LATELY_DAYS * DAY,
    )
    given = Food.objects.annotate(times=Count("feedings", filter=lately))
    return sorted(given, key=lambda food: (food != first, -food.times, food.name))


def took_words(eaters: Mapping[Animal, str]) -> str:
    """What they made of it: "all ate but Alula (refused)"; of one animal, what it did."""
    if len(eaters) == 1:
        return _took_words(Meal.Took(next(iter(eaters.values()))))
    parts = []
    for took in (Meal.Took.NONE, Meal.Took.LITTLE, Meal.Took.UNSEEN):
        names = [animal.name for animal, made in eaters.items() if made == took]
        if names:
            parts.append(some(names, MOST_NAMED) + " (" + _took_words(took) + ")")
    if len(parts) == 1 and all(made == Meal.Took.NONE for made in eaters.values()):
        return tell("all refused")
    return tell("all ate but {animals}", animals=strung(parts, "; ")) if parts else tell("all ate")


def _took_words(took: Meal.Took) -> str:
    return later(lambda: str(took.label))


def feeding_words(feeding: Feeding, unit: str) -> str:
    """What was given, and how much: "60 g mussel", "prawn"."""
    what = str(feeding.food) if feeding.food else tell("food")
    if feeding.amount_g is None:
        return what
    return f"{food_amount(float(feeding.amount_g), unit)} {what}"
