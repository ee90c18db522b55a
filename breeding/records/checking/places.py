"""Who is where, and with whom: two places at once, two open stays, two pairings of the same two."""

from collections.abc import Hashable, Iterator
from itertools import groupby
from typing import Any

from breeding.animals.models import Animal
from breeding.housing.models import Stay
from breeding.housing.services import spell_of
from breeding.housing.stays.timeline import Spell
from breeding.pairings.models import Pairing
from breeding.records.checking.finding import Finding, of_record
from breeding.records.checking.gathered import Gathered
from breeding.words.days import long_day


def two_places_at_once(gathered: Gathered) -> Iterator[Finding]:
    """Stays of one animal that share more than the day of a move."""
    for first, second in _sharing_time(list(gathered.rows(Stay)), "animal_id", spell_of):
        name = second.animal.full_name if second.animal_id in gathered.animals else "The animal"
        both_open = first.until is None and second.until is None
        yield of_record(
            second,
            f"{name} has two stays that are open: in {first.place} since {long_day(first.since)}, "
            f"and in {second.place} since {long_day(second.since)}."
            if both_open
            else f"{name} is in {first.place} and in {second.place} at once, from "
            f"{long_day(second.since)}.",
            "End, correct or withdraw the stay that is wrong.",
        )


def paired_twice_at_once(gathered: Gathered) -> Iterator[Finding]:
    """Pairings of the same two that share their time."""

    def spell(pairing: Pairing) -> Spell:
        return Spell(pairing.introduced_on, pairing.separated_on, (0, ""), pairing.pk)

    pairings = list(gathered.rows(Pairing))
    for first, second in _sharing_time(pairings, "female_id male_id", spell):
        yield of_record(
            second,
            f"The two are on record as together since {long_day(first.introduced_on)} already.",
            "Separate or withdraw one of the two pairings.",
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
                f"{animal.full_name} left on {long_day(animal.state_on)}, before this stay began.",
                f"Withdraw the stay, or say that {animal.name} is here again.",
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
