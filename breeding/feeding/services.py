"""Acts on feeding: foods, and rounds of them."""

import datetime
from collections.abc import Collection, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.animals.parents.impossible import is_before_birth
from breeding.feeding.models import Feeding, Food, Meal
from breeding.feeding.rations.known import Known
from breeding.housing.figures import figure
from breeding.housing.models import Tank
from breeding.program.acts.named import refuse_taken_name
from breeding.program.acts.together import write_together
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.doubts import Doubt, threshold
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging,
    settled,
    written_of,
)
from breeding.words.days import long_day, moment_in_figures
from breeding.words.language import tell
from breeding.words.numbers import percent

Eaters = Mapping[Animal, str]  # what each made of it
FOOD_FACTS = ("name", "note")
FACTS = ("food", "fed_at", "amount_g", "note")


# ---------------------------------------------------------------------------------------- foods


@transaction.atomic
def add_food(*, by: Person | None, **facts: Any) -> Food:
    """Write down a food. Raises ValidationError by field."""
    return change_food(Food(recorded_by=by), **facts)


@transaction.atomic
def change_food(food: Food, **facts: Any) -> Food:
    """Change the name or the note; what is not given stays."""
    for name in facts.keys() - set(FOOD_FACTS):
        raise ValueError(f"A food has no {name!r}: only {', '.join(FOOD_FACTS)}.")
    for name, value in facts.items():
        setattr(food, name, value.strip())
    food.full_clean(validate_constraints=False)
    refuse_taken_name(food)
    with constraints.named(food):
        food.save()
    return food


def food_named(name: str, *, by: Person | None) -> Food:
    """The food that is called so, letters great or small; a new one where there is none."""
    known = Food.objects.filter(name__iexact=name.strip()).first()
    return known or add_food(by=by, name=name)


# --------------------------------------------------------------------------------------- rounds


@transaction.atomic
def feed(
    eaters: Eaters,
    *,
    food: Food | None,
    fed_at: datetime.datetime,
    now: datetime.datetime,
    by: Person | None,
    tank: Tank | None = None,
    amount_g: Decimal | None = None,
    note: str = "",
    sure: Collection[str] = frozenset(),
) -> Feeding:
    """A round: what was offered when, and what each animal made of it.

    Raises ValidationError by field ("fed_at", "eaters"), and DoubtError, which `sure` answers, for
    animals that were not in the tank, and for far too much food.
    """
    if not eaters:
        raise ValidationError(
            {"eaters": tell("Nobody was fed: there is no animal to write it of.")}
        )
    feeding = Feeding(
        food=food,
        fed_at=fed_at,
        tank=tank,
        amount_g=amount_g,
        note=note.strip(),
        recorded_by=by,
    )
    feeding.eaters = eaters
    [judged] = judge_feedings([feeding], now=now)
    settled(judged, sure)
    _write([feeding])
    return feeding


@transaction.atomic
def feed_all(rows: Sequence[Feeding], *, now: datetime.datetime) -> list[Judged[Feeding]]:
    """Write down all rounds that may be, each with its `eaters`; the caller asks."""
    judged = judge_feedings(rows, now=now)
    _write(written_of(judged))
    return judged


def judge_feedings(rows: Sequence[Feeding], *, now: datetime.datetime) -> list[Judged[Feeding]]:
    """Each round with what is asked of it: a handful of queries for every 500 animals."""
    known = Known((row, row.eaters) for row in rows)

    def judge(row: Feeding) -> Iterator[Doubt]:
        _check(row, row.eaters, now=now)
        yield from _doubts(row, row.eaters, known)

    return [judging(row, judge) for row in rows]


def _write(rows: Sequence[Feeding]) -> None:
    write_together(rows)
    write_together(
        [
            Meal(feeding=row, animal=animal, took=took, fed_at=row.fed_at)
            for row in rows
            for animal, took in row.eaters.items()
        ]
    )


@transaction.atomic
def change_feeding(
    feeding: Feeding,
    took: Mapping[int, str],
    *,
    now: datetime.datetime,
    **facts: Any,
) -> Feeding:
    """Write what was so instead: `facts` of the round, and what each animal made of it by its key.

    What is not given stays. Raises ValidationError by field.
    """
    for name in facts.keys() - set(FACTS):
        raise ValueError(f"A round has no {name!r}: only {', '.join(FACTS)}.")
    for name, value in facts.items():
        setattr(feeding, name, value)
    meals = list(feeding.meals.select_related("animal"))
    eaters = {meal.animal: took.get(meal.animal_id, meal.took) for meal in meals}
    _check(feeding, eaters, now=now)
    feeding.save()
    for meal in meals:
        written = (meal.took, meal.fed_at)
        meal.took, meal.fed_at = eaters[meal.animal], feeding.fed_at
        if written != (meal.took, meal.fed_at):
            meal.save()
    return feeding


def _check(feeding: Feeding, eaters: Eaters, *, now: datetime.datetime) -> None:
    if feeding.fed_at > now:
        at = timezone.localtime(feeding.fed_at)
        raise ValidationError(
            {
                "fed_at": tell(
                    "{moment} is still to come; choose an earlier time.",
                    moment=moment_in_figures(at),
                )
            }
        )
    _refuse_what_cannot_be(feeding, eaters)
    feeding.note = feeding.note.strip()
    clean_of_its_own(feeding)


def _refuse_what_cannot_be(feeding: Feeding, eaters: Eaters) -> None:
    """Food for one that was not born yet, or was dead or gone by then."""
    on = timezone.localtime(feeding.fed_at).date()
    said = []
    for animal, took in eaters.items():
        if took not in Meal.Took.values:
            said.append(
                tell(
                    "“{took}” cannot be said of {animal}; choose what it made of the food.",
                    took=took,
                    animal=animal,
                )
            )
        elif is_before_birth(animal, on):
            said.append(_too_early_words(animal, on))
        elif animal.state in GONE and animal.state_on and on > animal.state_on:
            said.append(_gone_words(animal, long_day(animal.state_on)))
    if said:
        raise ValidationError({"fed_at": said})


def _too_early_words(animal: Animal, on: datetime.date) -> str:
    return tell(
        "{day} is too early: {animal} was born on {born}.",
        day=long_day(on),
        animal=animal.name,
        born=long_day(animal.born_on) if animal.born_on else "",
    )


def _gone_words(animal: Animal, day: str) -> str:
    if animal.state == Animal.State.DIED:
        return tell("{animal} died on {day}, before that round.", animal=animal.name, day=day)
    return tell("{animal} left on {day}, before that round.", animal=animal.name, day=day)


def doubts_of(feeding: Feeding) -> list[Doubt]:
    """What is asked of a round on record, as of a new one."""
    eaters = {meal.animal: meal.took for meal in feeding.meals.select_related("animal")}
    return list(_doubts(feeding, eaters, Known([(feeding, eaters)])))


def _doubts(feeding: Feeding, eaters: Eaters, known: Known) -> Iterator[Doubt]:
    on = timezone.localtime(feeding.fed_at).date()
    if feeding.tank is not None:
        for animal in eaters:
            if not known.was_in(feeding.tank, animal, on):
                yield Doubt(_elsewhere_words(feeding, animal, on), "fed_at")
    if feeding.amount_g:
        yield from _too_much(feeding, known.weight(eaters, on))


def _elsewhere_words(feeding: Feeding, animal: Animal, on: datetime.date) -> str:
    return tell(
        "{animal} was not in {tank} on {day}, by the records.",
        animal=animal.name,
        tank=feeding.tank,
        day=long_day(on),
    )


def _too_much(feeding: Feeding, weights: float | None) -> Iterator[Doubt]:
    """More than any could eat; nothing while the weight of one of them is not known."""
    amount, share = float(feeding.amount_g or 0), threshold("round_most_share")
    if weights and amount > share * weights:
        yield Doubt(
            tell(
                "{amount} g is more than {share} of what those fed weigh together (about {weight} "
                "g).",
                amount=figure(amount),
                share=percent(share),
                weight=figure(weights, ".0f"),
            ),
            "amount_g",
        )
