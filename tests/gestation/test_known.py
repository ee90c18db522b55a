"""From the same facts follows the same estimate, and another from others."""

import datetime

import pytest

from breeding.gestation import Profile, estimate
from breeding.gestation.estimate import Scan, Sign
from breeding.gestation.known import known_estimate, known_outlook

pytestmark = pytest.mark.one_database("arithmetic of days")

FIRST = datetime.date(2026, 3, 1)
DAYS = [FIRST + datetime.timedelta(days=n) for n in range(20)]
FACTS = {
    "exposed": DAYS,
    "unknown": [],
    "looked": DAYS[::3],
    "signs": [Sign(DAYS[4], "copulation", 7)],
    "scans": [Scan(DAYS[19], False)],
    "profile": Profile(signs={"copulation": (0.2, 0.01)}),
    "asof": DAYS[19],
    "last_birth": None,
    "birth_on": None,
}
OTHERS = {
    "exposed": DAYS[:-1],
    "unknown": DAYS[:2],
    "looked": [],
    "signs": [Sign(DAYS[4], "copulation", 8)],
    "scans": [Scan(DAYS[19], True)],
    "profile": Profile(signs={"copulation": (0.2, 0.02)}),
    "asof": DAYS[18],
    "last_birth": DAYS[1],
    "birth_on": DAYS[19],
}


def test_the_same_facts_are_reckoned_once():
    again = {**FACTS, "exposed": list(DAYS), "profile": Profile(signs={"copulation": (0.2, 0.01)})}
    assert known_estimate(**again) is known_estimate(**FACTS)
    assert known_estimate(**FACTS).chance == estimate(**FACTS).chance
    assert known_outlook(**again) is known_outlook(**FACTS)
    assert known_outlook(**FACTS).chance == estimate(**FACTS).chance


@pytest.mark.parametrize("name", OTHERS)
def test_another_fact_is_another_estimate(name):
    changed = {**FACTS, name: OTHERS[name]}
    found = known_estimate(**changed)
    assert found is not known_estimate(**FACTS)
    assert found.asof == changed["asof"]
    assert found.chance == known_outlook(**changed).chance == estimate(**changed).chance
