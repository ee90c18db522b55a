"""What becomes of the stay of one that goes on loan, and is here again."""

import datetime
from collections.abc import Sequence

from breeding.animals.away.following import Gone
from breeding.animals.models import Animal
from breeding.housing.models import Stay
from breeding.housing.services import meeting_of
from breeding.housing.stays.following import what_follows
from breeding.housing.stays.placing import leave_all
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import read_of
from breeding.words.language import tell


def leave_for_a_loan(gone: Sequence[Gone]) -> dict[int, str]:
    """One that goes on loan leaves its tank: with whom it is while away, nobody knows.

    One that died or left is in its tank no more either way; its stay ends with it.
    """
    lent = {animal.pk: (animal, on) for animal, on in gone if animal.state == Animal.State.ON_LOAN}
    going_on = Stay.objects.filter(until__isnull=True).select_related("tank")
    stays = {one.animal_id: one for one in read_of(going_on, "animal", lent)}
    leaving = {key: one for key, one in lent.items() if key in stays and stays[key].since <= one[1]}
    leave_all(list(leaving.values()))
    return {
        key: tell("It left {place}; move it in again when it is back.", place=stays[key].place)
        for key in leaving
    }


def asked_of_one_back(animal: Animal, on: datetime.date) -> list[Doubt]:
    """Whom one meets that is here again while its stay in a tank was left open."""
    stay = Stay.objects.filter(animal=animal, until__isnull=True).select_related("tank").first()
    if stay is None:
        return []
    return what_follows(meeting_of([animal], stay.tank, stay.side, on))
