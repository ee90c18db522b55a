"""The demonstration's trait: the pale coat of its pictures, written down as its keepers saw it.

All of it is invented. The looks follow the records, so that nothing contradicts.
"""

import datetime
from fractions import Fraction

from breeding.animals.models import Animal
from breeding.demo.acts import House
from breeding.traits.models import Trait, TraitLook
from breeding.traits.services import add_trait, write_look

TRAIT = "Pale coat"
FOUNDERS_SHARE = Fraction(1, 20)
TOLD_DAYS = 30  # a pup younger than this cannot be told yet
EACH_UNSEEN = 5  # of every so many nobody wrote it down
NOTE = (
    "Invented for this demonstration. Shown by the strain Paper Lantern; both parents hand it on."
)


def write_down(house: House, on: datetime.date) -> None:
    """The trait, and what was seen of it on everybody of whom somebody wrote it down."""
    trait = add_trait(
        by=house.people["jo"],
        name=TRAIT,
        inheritance=Trait.Inheritance.RECESSIVE,
        founder_share=FOUNDERS_SHARE,
        note=NOTE,
    )
    for number, (key, animal) in enumerate(house.rays.items()):
        if number % EACH_UNSEEN or house.family.is_pale(key):
            told = _told_on(animal, on)
            seen = _seen(animal, house.family.is_pale(key), told)
            write_look(trait, animal, seen, on=told, today=on, by=house.people["sam"])


def _told_on(animal: Animal, today: datetime.date) -> datetime.date:
    """When it was old enough; of one that came grown, a year ago."""
    born = animal.born_on
    if animal.origin == Animal.Origin.BORN_HERE and born is not None:
        return min(born + datetime.timedelta(days=TOLD_DAYS), today)
    year_ago = today - datetime.timedelta(days=365)
    return year_ago if born is None else min(max(year_ago, born), today)


def _seen(animal: Animal, is_pale: bool, on: datetime.date) -> str:
    """As it looks; nothing can be told of a pup of a few days."""
    born = animal.born_on
    if born is not None and born <= on < born + datetime.timedelta(days=TOLD_DAYS):
        return str(TraitLook.Seen.UNTOLD)
    return str(TraitLook.Seen.SHOWS if is_pale else TraitLook.Seen.NOT)
