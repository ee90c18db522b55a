"""The day's list against the truth of a simulated program; figures are invented.

The whole of it, forty females over five years (about ten minutes):
RAYWARD_SIMULATION="40 5" pytest tests/agenda/test_simulated_program.py -n 0 -s
"""

import datetime
import math
import os

import pytest

from tests import cast
from tests.simulated_program import SimulatedProgram, World

pytestmark = pytest.mark.one_database("arithmetic of a program that is simulated")

FEMALES, YEARS = (float(part) for part in os.environ.get("RAYWARD_SIMULATION", "8 1").split())


@pytest.fixture
def tally(species_data, settings):
    program = cast.the_program(time_zone="UTC")
    world = World(severe=0.6)
    start = datetime.date(2021, 1, 4)
    played = SimulatedProgram(program, int(FEMALES), seed=1922, start=start, world=world)
    found = played.run(round(YEARS * 365))
    print(f"\n{found.words()}")
    return found


def test_the_list_keeps_what_it_can_in_a_world_of_another_kind(tally):
    """Coverage within three standard errors of 0.82 (own arithmetic).

    So many of those who carry a week longer than the figures say are born inside a window that
    claims 0.9; births of its own bring it nearer. In this world marks show by chance too, and
    signs that are added up say more than comes true: hence an alarm in vain a female and year,
    no more. What is told of harm, and that she is apart in time, does not rest on the chance.
    """
    assert tally.births >= tally.females * tally.years / 2
    error = math.sqrt(0.82 * 0.18 / tally.announced)
    assert tally.coverage > 0.82 - 3 * error
    assert 0.88 < tally.claim < 0.97
    assert tally.apart_in_time == tally.births
    assert tally.severe_told == tally.severe_seen > 0
    assert tally.missed <= 0.05 * tally.births
    assert tally.asked_of_nobody == 0
    assert tally.false_alarms_a_female_and_year < 1
