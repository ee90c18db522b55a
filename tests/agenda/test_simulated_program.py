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
    world = World(severe=0.15)
    start = datetime.date(2021, 1, 4)
    played = SimulatedProgram(program, int(FEMALES), seed=1922, start=start, world=world)
    found = played.run(round(YEARS * 365))
    print(f"\n{found.words()}")
    return found


def test_the_list_keeps_what_the_model_claims(tally):
    """Coverage within three standard errors of the model's own claim (own arithmetic)."""
    assert tally.births >= tally.females * tally.years / 2
    error = math.sqrt(tally.claim * (1 - tally.claim) / tally.announced)
    assert tally.coverage > tally.claim - 3 * error
    assert 0.88 < tally.claim < 0.97
    assert tally.apart_in_time == tally.births
    assert tally.severe_told == tally.severe_seen > 0
    assert tally.missed <= 0.05 * tally.births
    assert tally.asked_of_nobody == 0
    assert tally.false_alarms_a_female_and_year < 0.5
