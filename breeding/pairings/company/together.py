"""Two put together: what speaks against them beside kinship, and one moved to the other."""

import datetime
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping

from django.core.exceptions import ValidationError

from breeding.animals.models import Animal
from breeding.health.holds import doubts_of_held
from breeding.housing.models import Stay
from breeding.housing.queries import stays_over
from breeding.housing.services import move_animal
from breeding.housing.stays.following import said_of
from breeding.housing.stays.shared_water import share_water
from breeding.pairings.company.concerns import Company, concerns_of
from breeding.pairings.company.doors import doubts_in
from breeding.pairings.company.known import known_of
from breeding.pairings.models import Pairing
from breeding.program.models import Person, Program
from breeding.program.problems.doubts import Doubt
from breeding.words.language import tell

# What rooms above ask before a female and a male are put together on a day.
OfTwo = Callable[[Animal, Animal, datetime.date, Program], Iterable[Doubt]]
# The same of one pair after the other, given whoever may be put together.
AskingOfTwo = Callable[[Animal, Animal, datetime.date], Iterable[Doubt]]
OfManyTwos = Callable[[Mapping[int, Animal], Program], AskingOfTwo]
_of_two: dict[str, tuple[OfTwo, OfManyTwos]] = {}


def add_question_of_two(name: str, question: OfTwo, of_many: OfManyTwos) -> None:
    """Called once by a room above, in its AppConfig.ready: what is asked of two, and in turn."""
    _of_two[name] = question, of_many


def asked_in_turn(animals: Mapping[int, Animal], program: Program) -> list[AskingOfTwo]:
    """What every room asks, for many that are put together one after the other."""
    return [of_many(animals, program) for _, of_many in _of_two.values()]


# What her page of pairing asks in its own way: kinship, with a reason, and her rest.
SAID_BY_THE_PAGE = ("kin", "growing_kin", "rest")


def doubts_of_two(
    female: Animal, male: Animal, *, on: datetime.date, program: Program
) -> Iterator[Doubt]:
    """What holds them, a wounded female, one near birth, and what rooms above ask of them.

    Nothing of a past day it was not known on. Where the two are on record in one water already,
    their company has begun before.
    """
    yield from doubts_of_held((female, male), "breed", on, field="introduced_on")
    for question, _ in _of_two.values():
        yield from question(female, male, on, program)
    where = _places(female, male, on)
    if where is None or share_water(*where):
        return
    hers, _ = where
    company = Company([(male, female)], hers.tank, frozenset([male.pk]))
    for concern in concerns_of(company, known_of([female, male], program, on=on)):
        if concern.kind not in SAID_BY_THE_PAGE:
            yield from doubts_in(concern, "introduced_on")


def moves_offered(female: Animal, male: Animal, on: datetime.date) -> list[tuple[str, str]]:
    """Who can be moved to whom, where the two are on record in different waters; else nothing."""
    stays = _stays(female, male, on)
    hers, his = stays.get(female.pk), stays.get(male.pk)
    if hers is not None and his is not None and share_water(hers, his):
        return []
    found = []
    if hers is not None:
        found.append(
            (
                Pairing.Moved.MALE.value,
                tell("{animal} is moved to {place}", animal=male.name, place=hers.place),
            )
        )
    if his is not None:
        found.append(
            (
                Pairing.Moved.FEMALE.value,
                tell("{animal} is moved to {place}", animal=female.name, place=his.place),
            )
        )
    return [*found, ("", tell("nobody is moved on record"))] if found else []


def move_together(
    pairing: Pairing, moved: str, *, by: Person | None, sure: Collection[str], reason: str
) -> str:
    """Move one to the other; what was said of whom it meets there. Raises ValidationError."""
    on, two = pairing.introduced_on, (pairing.male, pairing.female)
    animal, other = two if moved == Pairing.Moved.MALE else two[::-1]
    stay = _stays(pairing.female, pairing.male, on).get(other.pk)
    if stay is None:
        raise ValidationError(
            {"moved": tell("{other} is in no tank on that day.", other=other.name)}
        )
    gone = move_animal(animal, stay.tank, on=on, by=by, side=stay.side, sure=sure, reason=reason)
    return said_of([gone])


def _places(female: Animal, male: Animal, on: datetime.date) -> tuple[Stay, Stay] | None:
    stays = _stays(female, male, on)
    if len(stays) < 2:
        return None
    return stays[female.pk], stays[male.pk]


def _stays(female: Animal, male: Animal, on: datetime.date) -> dict[int, Stay]:
    stays = stays_over(on).filter(animal__in=[female.pk, male.pk]).select_related("tank")
    return {stay.animal_id: stay for stay in stays}
