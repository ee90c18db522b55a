"""Who is where, and with whom: two places at once, two open stays, two pairings of the same two."""

from collections.abc import Hashable, Iterator
from itertools import groupby
from typing import Any

from breeding.animals.models import Animal
from breeding.housing.models import Stay
from breeding.housing.stays.placing import spell_of
from breeding.housing.stays.timeline import Spell
from breeding.pairings.models import Pairing
from breeding.records.checking.finding import Finding, of_record
from breeding.records.checking.gathered import Gathered
from breeding.words.days import long_day
from breeding.words.language import tell


def two_places_at_once(gathered: Gathered) -> Iterator[Finding]:
    """Stays of one animal that share more than the day of a move."""
    for first, second in _sharing_time(list(gathered.rows(Stay)), "animal_id", spell_of):
        name = (
            second.animal.full_name if second.animal_id in gathered.animals else tell("The animal")
        )
        both_open = first.until is None and second.until is None
        yield of_record(
            second,
            tell(
                "{animal} has two stays that are open: in {tank} since {day}, and in "
                "{other_tank} since {other_day}.",
                animal=name,
                tank=first.place,
                day=long_day(first.since),
                other_tank=second.place,
                other_day=long_day(second.since),
            )
            if both_open
            else tell(
                "{animal} is in {tank} and in {other_tank} at once, from {day}.",
                animal=name,
                tank=first.place,
                other_tank=second.place,
                day=long_day(second.since),
            ),
            tell("End, correct or withdraw the stay that is wrong."),
        )


def paired_twice_at_once(gathered: Gathered) -> Iterator[Finding]:
    """Pairings of the same two that share their time."""

    def spell(pairing: Pairing) -> Spell:
        return Spell(pairing.introduced_on, pairing.separated_on, (0, ""), pairing.pk)

    pairings = list(gathered.rows(Pairing))
    for first, second in _sharing_time(pairings, "female_id male_id", spell):
        yield of_record(
            second,
            tell(
                "The two are on record as together since {day} already.",
                day=long_day(first.introduced_on),
            ),
            tell("Separate or withdraw one of the two pairings."),
        )


def in_a_tank_though_gone(gathered: Gathered) -> Iterator[Finding]:
    """Stays that begin after the animal left for good."""
    gone = (Animal.State.LEFT,)
    for stay in gathered.rows(Stay):
        animal = gathered.animals.get(stay.animal_id)
        if animal is None or animal.state not in gone or animal.state_on is None:
            continue
        if stay.since > animal.state_on:
            yield of_record(
                stay,
                tell(
                    "{animal} left on {day}, before this stay began.",
                    animal=animal.full_name,
                    day=long_day(animal.state_on),
                ),
                tell("Withdraw the stay, or say that {animal} is here again.", animal=animal.name),
            )


def _sharing_time(records: list[Any], of: str, spell: Any) -> Iterator[tuple[Any, Any]]:
    """Neighbours in time, of one animal or pair, of which the second begins before the first ends.

    Sorted once; each is held against the one before it that ends last.
    """

    def key(record: Any) -> tuple[Hashable, ...]:
        return tuple(getattr(record, name) for name in of.split())

    for _, group in groupby(sorted(records, key=key), key=key):
        latest = None
        for record in sorted(group, key=lambda one: (spell(one).since, one.pk)):
            if latest is not None and spell(record).shares_time_with(spell(latest)):
                yield latest, record
            if latest is None or _ends_later(spell(record), spell(latest)):
                latest = record


def _ends_later(spell: Spell, other: Spell) -> bool:
    if other.until is None:
        return False
    return spell.until is None or spell.until > other.until
