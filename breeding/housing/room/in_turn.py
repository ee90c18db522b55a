"""Whether there is room, asked of one move after the other by the stays in hand."""

from collections.abc import Collection, Mapping

from breeding.animals.growth.in_turn import GrowthInTurn
from breeding.animals.models import Animal
from breeding.housing.models import Stay
from breeding.housing.room.asking import doubts_with, may_lack_room
from breeding.housing.stays.everywhere import Everywhere
from breeding.program.problems.doubts import Doubt
from breeding.program.queries import the_program


class RoomsInTurn:
    """`doubts_of_room` of each; of the animals all else is read once.

    animals: who may be in these tanks. coming: those of them that may come to one.
    """

    def __init__(
        self,
        animals: Mapping[int, Animal],
        where: Everywhere,
        tanks: Collection[int],
        coming: Collection[int],
    ) -> None:
        self._animals, self._where = animals, where
        self._unit = the_program().length_unit
        there = (key for tank in tanks for key in where.inside_now(tank))
        self._growth = GrowthInTurn({key: animals[key] for key in {*coming, *there}})

    def __call__(self, stay: Stay, before: Collection[Stay]) -> list[Doubt]:
        """before: its stays in whatever tank that ended as this one begins."""
        if not may_lack_room(stay) or any(one.tank_id == stay.tank_id for one in before):
            return []
        there = [self._animals[key] for key in self._where.inside_now(stay.tank_id)]
        return doubts_with({stay.animal_id}, stay.tank, there, stay.since, self._growth, self._unit)
