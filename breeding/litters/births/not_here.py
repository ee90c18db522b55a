"""Young of long ago: written down with their births, and not here any more."""

from collections.abc import Sequence
from copy import copy

from breeding.animals.away.loans import keep_loan
from breeding.animals.models import Animal
from breeding.animals.services import set_facts
from breeding.housing.models import Stay
from breeding.program.acts.together import change_together
from breeding.program.problems.several import read_of


def say_not_here(young: Sequence[Animal], state: str) -> None:
    """Of those just written: since when is not known, and their stay with the dam never began."""
    going_on = Stay.objects.filter(until__isnull=True)
    named = {one.pk: one for one in young}
    stays = []
    for stay in read_of(going_on, "animal", named):
        before = copy(stay)
        stay.animal, stay.until = named[stay.animal_id], stay.since
        stays.append((before, stay))
    change_together(stays, ["until"])
    changed = [(copy(one), one) for one in young]
    for one in young:
        set_facts(one, {"state": state, "state_on": None})
    change_together(changed, ["state", "state_on"])
    for was, one in changed:
        keep_loan(one, was.state, was.state_on)
