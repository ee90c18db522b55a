"""What is written down from the log page: each by the service of its room, all of it or nothing."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.animals.services import add_measurement
from breeding.feeding.models import Meal
from breeding.feeding.rounds import feeding_words
from breeding.feeding.services import feed, food_named
from breeding.housing.models import Tank, TankWork
from breeding.housing.work.care import record_work
from breeding.housing.work.changes import record_changes
from breeding.pairings import services
from breeding.pairings.care.wounds import harm_of
from breeding.pairings.log.forms import CHANGE
from breeding.pairings.log.who import Chosen
from breeding.pairings.models import Pairing, Sighting, SignKind
from breeding.pairings.season.questions import counts_for_nothing
from breeding.pairings.season.reading import season_of
from breeding.program.models import Person, Program
from breeding.program.problems.beside import at_field
from breeding.words.chances import chance
from breeding.words.language import later, sentences, strung, tell
from breeding.words.numbers import joined, some

MOST_NAMED = 6


@dataclass(frozen=True)
class Moment:
    """Who writes, when, and in which program; sure: the doubts that were answered."""

    now: datetime.datetime
    by: Person
    program: Program
    sure: Collection[str] = frozenset()

    @property
    def today(self) -> datetime.date:
        return timezone.localtime(self.now).date()


@dataclass(frozen=True)
class Written:
    """What was written, in sentences, of whom, and where that leads."""

    said: str
    about: Animal | Tank
    leads_to: str = ""


@transaction.atomic
def write_seen(facts: dict[str, Any], moment: Moment) -> Written:
    """A sign of each of those chosen, with the male who was with her where one has his part."""
    kind: SignKind = facts["kind"]
    animals = _somebody(facts["female"])
    if facts["photograph"] is not None and len(animals) > 1:
        raise ValidationError({"photograph": tell("A picture is of one animal; choose one.")})
    mates = _mates(animals, facts, kind)
    seen = [
        services.log_sighting(
            female=one,
            kind=kind,
            seen_at=facts["at"],
            now=moment.now,
            by=moment.by,
            male=facts["male"] or mates.get(one.pk),
            severity=facts["severity"],
            note=facts["note"],
            photograph=facts["photograph"],
        )
        for one in animals
    ]
    return _said_of(seen, facts, moment)


def _said_of(seen: list[Sighting], facts: dict[str, Any], moment: Moment) -> Written:
    first = seen[0]
    names, sign = some([one.female.name for one in seen], MOST_NAMED), first.kind.said_within
    if first.male and facts["is_with_mate"]:
        male = first.male.name
        said = tell("Written: {names}, {sign}, with {male}.", names=names, sign=sign, male=male)
    else:
        said = tell("Written: {names}, {sign}.", names=names, sign=sign)
    if len(seen) > 1 or first.female.sex != Animal.Sex.FEMALE:
        return Written(said, first.female)
    season = season_of(first.female, moment.program, asof=moment.today)
    likely = tell("Chance that she is pregnant: {chance}.", chance=chance(season.estimate.chance))
    asked = counts_for_nothing(season, first)
    if asked:
        likely = tell("Nothing follows from it until it is said with whom she was.")
    to = reverse("pairings:female", args=[first.female_id]) if asked or harm_of(season) else ""
    return Written(sentences(said, likely), first.female, to)


def _mates(animals: Iterable[Animal], facts: dict[str, Any], kind: SignKind) -> dict[int, Animal]:
    """The male each was with then, by records. Raises ValidationError where there were several."""
    if not facts["is_with_mate"] or not kind.is_between_two:
        return {}
    on = facts["at"].date()
    pairings = Pairing.objects.filter(
        Q(separated_on__isnull=True) | Q(separated_on__gte=on),
        female__in=[one.pk for one in animals],
        introduced_on__lte=on,
        withdrawn_at__isnull=True,
    ).select_related("female", "male")
    with_her: dict[int, dict[int, Animal]] = defaultdict(dict)
    for one in pairings:
        with_her[one.female_id][one.male_id] = one.male
        if len(with_her[one.female_id]) > 1:
            names = joined([male.name for male in with_her[one.female_id].values()])
            raise ValidationError(
                {
                    "male": tell(
                        "{female} was with {names}: choose which of them it was, or “not seen "
                        "who”.",
                        female=one.female.name,
                        names=names,
                    )
                }
            )
    return {pk: next(iter(males.values())) for pk, males in with_her.items()}


@transaction.atomic
def write_fed(facts: dict[str, Any], moment: Moment) -> Written:
    """A round in each tank, and one of the animals that were chosen by themselves; all ate."""
    chosen: Chosen = facts["female"]
    parties: list[tuple[Tank | None, list[Animal]]] = [
        (tank, inside) for tank, inside in chosen.inside.items()
    ]
    if chosen.animals:
        parties.append((None, list(chosen.animals)))
    if facts["amount_g"] and len(parties) > 1:
        raise ValidationError(
            {
                "amount_g": tell(
                    "An amount is for one tank; leave it empty for several tanks, or log each by "
                    "itself."
                )
            }
        )
    food = facts["food"]
    if facts["new_food"]:
        food = food_named(facts["new_food"], by=moment.by)
    said = []
    for tank, eaters in parties:
        where = str(tank) if tank else some([one.name for one in eaters], MOST_NAMED)
        if not eaters:
            raise ValidationError({"female": tell("Nobody is in {place} on record.", place=where)})
        feeding = feed(
            dict.fromkeys(eaters, str(Meal.Took.ALL)),
            tank=tank,
            food=food,
            amount_g=facts["amount_g"],
            fed_at=facts["at"],
            now=moment.now,
            by=moment.by,
            note=facts["note"],
            sure=moment.sure,
        )
        said.append(where + ", " + feeding_words(feeding, moment.program.weight_unit))
    return Written(tell("Written: {meals}; all ate.", meals=strung(said, "; ")), _first(chosen))


@transaction.atomic
def write_weighed(facts: dict[str, Any], moment: Moment) -> Written:
    """The weight and the size of one, on the day of its time."""
    (animal,) = facts["female"].animals
    add_measurement(
        animal,
        by=moment.by,
        on=facts["at"].date(),
        weight_g=facts["weight_g"],
        disc_width_mm=facts["disc_width_mm"],
        note=facts["note"],
        sure=moment.sure,
    )
    return Written(tell("{animal} is measured.", animal=animal.name), animal)


@transaction.atomic
def write_water(facts: dict[str, Any], moment: Moment) -> Written:
    """Part of the water changed, or something seen to, in each of the tanks."""
    tanks, done = facts["female"].tanks, facts["done"]
    names = joined([tank.name for tank in tanks])
    if done.startswith(CHANGE):
        percent = int(done.removeprefix(CHANGE))
        changed = record_changes(
            list(tanks),
            changed_at=facts["at"],
            now=moment.now,
            by=moment.by,
            program=moment.program,
            percent=percent,
            note=facts["note"],
            sure=moment.sure,
        )
        return Written(
            sentences(
                tell("Written: {names}, {percent} % changed.", names=names, percent=percent),
                *changed.said,
            ),
            tanks[0],
        )
    for tank in tanks:
        record_work(
            tank,
            kind=done,
            on=facts["at"].date(),
            today=moment.today,
            by=moment.by,
            note=facts["note"],
        )
    what = later(lambda: str(TankWork.Kind(done).label))
    return Written(tell("Written: {names}, {what}.", names=names, what=what), tanks[0])


@transaction.atomic
def write_note(facts: dict[str, Any], moment: Moment) -> Written:
    """Words about animals are a sighting of something else; about a tank, care of another kind."""
    chosen: Chosen = facts["female"]
    if facts["photograph"] is not None and (len(chosen.animals) != 1 or chosen.tanks):
        raise ValidationError({"photograph": tell("A picture is of one animal; choose one.")})
    kind = SignKind.objects.get(key="other")
    for animal in chosen.animals:
        services.log_sighting(
            female=animal,
            kind=kind,
            seen_at=facts["at"],
            now=moment.now,
            by=moment.by,
            note=facts["note"],
            photograph=facts["photograph"],
        )
    for tank in chosen.tanks:
        try:
            record_work(
                tank,
                kind=TankWork.Kind.OTHER,
                on=facts["at"].date(),
                today=moment.today,
                by=moment.by,
                note=facts["note"],
            )
        except ValidationError as problem:
            raise at_field(problem, "seen_at") from None
    named = [one.name for one in chosen.animals] + [one.name for one in chosen.tanks]
    names = some(named, MOST_NAMED)
    return Written(tell("Written: a note about {names}.", names=names), _first(chosen))


def _somebody(chosen: Chosen) -> list[Animal]:
    """Those chosen. Raises ValidationError when the tanks that were are empty."""
    animals = chosen.everybody
    if not animals:
        names = joined([tank.name for tank in chosen.tanks])
        raise ValidationError({"female": tell("Nobody is in {place} on record.", place=names)})
    return animals


def _first(chosen: Chosen) -> Animal | Tank:
    return chosen.tanks[0] if chosen.tanks else chosen.animals[0]
