"""The lines of young that are raised: a birth under way, first food, the next weighing."""

import datetime
from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.animals import lineage
from breeding.animals.species.profiles import all_profiles
from breeding.litters.births.under_way import birth_under_way_on
from breeding.litters.models import Litter, Pup
from breeding.litters.raising.first_food import first_food_of, have_eaten, have_refused, yolk_words
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined
from breeding.words.style import capital

FED_BY_DAYS = 30  # of age; later "has not eaten for so many days" is said of everybody
RAISED_DAYS = 120  # of age, up to which a litter is weighed again and again: assumption
MOST_NAMED = 6


def under_way_lines(gathered: Gathered) -> Iterator[Line]:
    """Births whose pups are being written down, until somebody says that was all."""
    for litter, pups in gathered.litters:
        if birth_under_way_on(litter, gathered.today):
            yield write_line(
                KINDS["birth_under_way"],
                mark=str(litter.pk),
                on=litter.born_on,
                today=gathered.today,
                who=litter.dam.name,
                why=tell_many(
                    "{number} pup of litter {code} so far.",
                    "{number} pups of litter {code} so far.",
                    len(pups),
                    code=litter.code,
                ),
                animal=litter.dam,
                page_of=litter.pk,
                facts={"female_id": litter.dam_id},
            )


def first_food_lines(gathered: Gathered) -> Iterator[Line]:
    """Newborn young of which no meal is on record, from the day on that their yolk allows."""
    fresh = [
        (litter, here)
        for litter, pups in gathered.litters
        if (gathered.today - litter.born_on).days <= FED_BY_DAYS
        and (here := [one.pup for one in pups if one.pup.animal and one.pup.animal.is_here])
    ]
    keys = [pup.animal_id for _, here in fresh for pup in here if pup.animal_id]
    ate, refused = have_eaten(keys), have_refused(keys)
    for litter, here in fresh:
        hungry = [pup for pup in here if pup.animal_id not in ate]
        if hungry:
            yield _first_food(litter, here, hungry, refused, gathered)


def _first_food(
    litter: Litter, here: list[Pup], hungry: list[Pup], refused: set[int], gathered: Gathered
) -> Line:
    food = first_food_of(litter.dam)
    no_yolk = any(pup.yolk == Pup.Yolk.NONE for pup in hungry)
    from_day = 0 if no_yolk else food.least_days
    seen = yolk_words(hungry)
    left = [pup.animal.name for pup in hungry if pup.animal and pup.animal.pk in refused]
    age = (gathered.today - litter.born_on).days
    return write_line(
        KINDS["first_food"],
        mark=f"{litter.pk}:{len(here) - len(hungry)}",
        series_mark=str(litter.pk),
        on=litter.born_on + datetime.timedelta(days=from_day),
        today=gathered.today,
        who=tell("Litter {code}", code=litter.code),
        why=" ".join(
            [
                tell_many(
                    "{no_meal}, {number} day old.",
                    "{no_meal}, {number} days old.",
                    age,
                    no_meal=_no_meal_words(hungry, is_all=len(hungry) == len(here)),
                ),
                *([_refused_words(left)] if left else []),
                *([f"{capital(seen)}."] if seen else []),
                food.words,
            ]
        ),
        animal=litter.dam,
        page_of=litter.pk,
        facts={"litter_id": litter.pk},
    )


def _no_meal_words(hungry: list[Pup], *, is_all: bool) -> str:
    if is_all:
        return tell_many(
            "No meal of {number} pup is on record",
            "No meal of {number} pups is on record",
            len(hungry),
        )
    names = [pup.animal.name for pup in hungry[:MOST_NAMED] if pup.animal]
    return tell("No meal of {names} is on record", names=joined(names))


def _refused_words(names: list[str]) -> str:
    return tell("Refused by {names}: offer again.", names=joined(names[:MOST_NAMED]))


def weighing_lines(gathered: Gathered) -> Iterator[Line]:
    """Litters whose young were not measured or weighed for longer than their figures want."""
    profiles, shares = all_profiles(), lineage.current().shares
    for litter, pups in gathered.litters:
        if (gathered.today - litter.born_on).days > RAISED_DAYS:
            continue
        here = [one for one in pups if one.pup.animal and one.pup.animal.is_here]
        if not here:
            continue
        figures = profiles.of(shares.get(here[0].pup.animal_id or 0, {}))
        last_on = min(one.looked_on or litter.born_on for one in here)
        due_on = last_on + datetime.timedelta(days=figures.figure("weigh_young_every_days"))
        if due_on <= gathered.today:
            yield _weighing(litter, len(here), due_on, last_on, gathered)


def _weighing(
    litter: Litter,
    number: int,
    due_on: datetime.date,
    last_on: datetime.date,
    gathered: Gathered,
) -> Line:
    days = (gathered.today - last_on).days
    since = (
        tell_many(
            "{number} day since the day of its birth.",
            "{number} days since the day of its birth.",
            days,
        )
        if last_on == litter.born_on
        else tell_many(
            "{number} day since the day of the last weighing.",
            "{number} days since the day of the last weighing.",
            days,
        )
    )
    here = tell_many(
        "{number} pup of {dam} is here;",
        "{number} pups of {dam} are here;",
        number,
        dam=litter.dam.name,
    )
    return write_line(
        KINDS["weigh_young"],
        mark=f"{litter.pk}:{due_on.isoformat()}",
        series_mark=str(litter.pk),
        on=due_on,
        today=gathered.today,
        who=tell("Litter {code}", code=litter.code),
        why=f"{here} {since}",
        animal=litter.dam,
        page_of=litter.pk,
        facts={"litter_id": litter.pk},
    )
