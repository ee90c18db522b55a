"""Animals that are with this program no more: they left, or died."""

import datetime

from breeding.animals.models import Animal

GONE = (Animal.State.LEFT, Animal.State.DIED)


def is_gone_by(animal: Animal, on: datetime.date) -> bool:
    """Whether it is gone by the end of this day; of one that went on a day nobody knows it is."""
    return animal.state in GONE and (animal.state_on is None or animal.state_on <= on)
