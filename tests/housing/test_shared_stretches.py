"""Who shared water with whom, against every two stays held beside each other."""

import datetime
import random
from collections.abc import Collection, Sequence

import pytest

from breeding.housing.stays.shared_water import BareStay, Shared, shared_stretches
from tests.tries import tries

START = datetime.date(2026, 1, 1)


def each_beside_each(
    places: Sequence[BareStay], ones: Collection[int], others: Collection[int]
) -> list[Shared]:
    found = []
    for earlier in places:
        for later in places:
            began = (earlier.since, earlier.animal), (later.since, later.animal)
            is_one_water = not (earlier.side and later.side and earlier.side != later.side)
            if earlier.tank != later.tank or began[0] >= began[1] or not is_one_water:
                continue
            if earlier.until is not None and earlier.until <= later.since:
                continue
            if later.until is not None and later.until <= earlier.since:
                continue
            last = min((one for one in (earlier.until, later.until) if one), default=None)
            for one, other in ((earlier, later), (later, earlier)):
                if one.animal in ones and other.animal in others:
                    found.append(Shared(one.animal, other.animal, one.tank, later.since, last))
    return found


@pytest.mark.parametrize("seed", range(tries(20)))
def test_stretches_are_those_of_every_two_stays(seed: int) -> None:
    chance = random.Random(seed)
    places = []
    for animal in range(8):
        for since in sorted(chance.sample(range(60), 4)):
            began = START + datetime.timedelta(days=since)
            until = began + datetime.timedelta(days=chance.randrange(0, 15))
            side = chance.choice(("", "", "left", "right"))
            ends = chance.choice((until, until, None))
            places.append(BareStay(animal, chance.randrange(2), side, began, ends))
    for ones, others in (((0, 1, 2), (3, 4, 5, 6)), ((0, 1, 2, 3), (2, 3, 4))):
        found = shared_stretches(places, ones, others)
        assert sorted(found, key=str) == sorted(each_beside_each(places, ones, others), key=str)
        days = [(one.first, one.one, one.other) for one in found]
        assert days == sorted(days)
