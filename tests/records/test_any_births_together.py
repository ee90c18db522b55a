"""Any births of one table, over generations, become what each becomes by an act of its own."""

import datetime
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breeding.animals.models import Animal, Measurement, PossibleSire, Species
from breeding.animals.models import SpeciesShare as Share
from breeding.housing.models import Tank
from breeding.housing.stays.placing import place
from breeding.program.problems.doubts import Doubt
from breeding.records.incoming.kinds.kind import Keeping
from breeding.records.incoming.kinds.table import KINDS
from tests import cast
from tests.cast import day
from tests.records.one_row import ONE_ROW, one_by_one
from tests.records.test_all_together import NOW, TODAY, become
from tests.tries import of_few_rows

pytestmark = pytest.mark.django_db

NOTHING = dict.fromkeys(meaning.key for meaning in KINDS["litters"].meanings)
DAYS = [day(one) for one in ("2015-05-10", "2018-05-10", "2018-05-12", "2021-05-10", "2026-05-10")]


@pytest.fixture
def motoro() -> list[Animal]:
    """So many weighed, from the day of birth on, that these count: half as heavy again as usual."""
    found = [cast.male(f"Weighed {n}", pure="motoro", born_on=day("2010-01-01")) for n in range(6)]
    Measurement.objects.bulk_create(
        Measurement(
            animal=one,
            on=day("2012-01-01") + datetime.timedelta(days=60 * k),
            disc_width_mm=60 + 20 * k + n,
            weight_g=round(0.09 * ((60 + 20 * k + n) / 10) ** 2.95),
        )
        for n, one in enumerate(found)
        for k in range(5)
    )
    return found


@pytest.fixture
def dams(motoro, owner) -> list[Animal]:
    born = {"born_on": day("2010-01-01")}
    found = [cast.female(f"Dam {n}", pure="motoro", **born) for n in range(3)]
    found.append(cast.female("Menkar", pure="leopoldi", **born))
    place(
        found[0],
        Tank.objects.create(name="Tank 1", volume_litres=900),
        on=day("2019-01-01"),
        by=owner,
    )
    return found


@pytest.fixture
def sires(motoro) -> list[Animal]:
    born = {"born_on": day("2010-01-01")}
    return [motoro[0], cast.male("Rigel", pure="leopoldi", **born), cast.ray("Sirrah", "U", **born)]


@pytest.fixture
def young(dams, sires) -> list[Animal]:
    """Those that births may take in: of nobody, of others, with young, with sires that may be."""
    on = {"born_precision": "day"}
    found = [
        cast.ray("Kitalpha", "F"),
        cast.ray("Biham", "F", dam=dams[0], born_on=DAYS[0], state_on=DAYS[0], **on),
        cast.ray("Homam", "M", sire=sires[1], born_on=DAYS[1], **on),
        cast.ray("Matar", "U", born_on=day("2015-05-01"), born_precision="month"),
        cast.ray("Sadal", "F", dam=dams[1], born_on=DAYS[2], state="left", state_on=DAYS[3], **on),
        cast.ray("Enif", "U", born_on=DAYS[1], state="died", state_on=DAYS[1], **on),
    ]
    found += [
        cast.ray("Hamal", "F", dam=found[0], sire=found[3], born_on=DAYS[3], **on),
        cast.ray("Baham", "M", dam=found[1], born_on=DAYS[2], **on),
        cast.ray("Markab", "U", dam=dams[2], born_on=DAYS[3], **on),
    ]
    for one, *possible in ((found[8], *sires[:2]), (found[7], found[2], sires[2])):
        for sire in possible:
            PossibleSire.objects.create(animal=one, sire=sire, share=Fraction(1, 2))
    leopoldi = Species.objects.get(accepted_name__endswith=" leopoldi")
    Share.objects.create(animal=found[0], species=leopoldi, share=Fraction(1))
    Measurement.objects.create(animal=found[2], on=DAYS[1], weight_g=70)
    Measurement.objects.create(animal=found[4], on=DAYS[3], disc_width_mm=300, weight_g=2000)
    return found


@st.composite
def births(draw: Any, dams: list[Animal], sires: list[Animal], young: list[Animal]) -> Any:
    """A row whose numbers and sizes mostly go together."""
    named = draw(st.lists(st.sampled_from(young), max_size=2, unique_by=id))
    further, dead = draw(st.sampled_from([0, 1, 1, 2, 17])), draw(st.sampled_from([None, None, 1]))
    living = len(named) + further

    def sizes(*values: int | None) -> Any:
        number = draw(st.sampled_from([0, living, living, living + (dead or 0), 1]))
        if not number:
            return None
        some = st.lists(st.sampled_from([None, *values]), min_size=number, max_size=number)
        return draw(some)

    return {
        **NOTHING,
        "dam": draw(st.sampled_from([*dams, young[0], young[1], young[4], young[6]])),
        "sire": draw(st.sampled_from([None, *sires, young[2], young[3]])),
        "born_on": draw(st.sampled_from(DAYS)),
        "young": named or None,
        "alive": draw(st.sampled_from([living, living, None])),
        "dead": dead,
        "females": draw(st.sampled_from([None, 1])),
        "weights": sizes(60, 85, 85, 900, 9),
        "widths": sizes(70, 95, 95, 60),
        "premature": draw(st.sampled_from([None, None, "yes"])),
    }


@given(data=st.data())
@of_few_rows(30)
def test_any_births_are_one_birth_after_the_other(data, owner, dams, sires, young):
    rows = data.draw(st.lists(births(dams, sires, young), min_size=1, max_size=7))
    rows = sorted(rows, key=KINDS["litters"].in_order)
    state = data.draw(st.sampled_from(["here", "left", "died", "on_loan"]))
    keeping = Keeping(owner, cast.program_now(), NOW, TODAY, state)
    alone = become("litters", rows, one_by_one(ONE_ROW["litters"]), keeping)
    together = become("litters", rows, KINDS["litters"].keep_all, keeping)
    assert together == alone
    asked = [Doubt(sentence) for _, doubts, _ in alone[0] for sentence, _ in doubts]
    sure = frozenset(one.mark for one in asked)
    keeping = Keeping(owner, cast.program_now(), NOW, TODAY, state, sure)
    told, *_ = become("litters", rows, KINDS["litters"].keep_all, keeping)
    assert told == [(is_kept, [], refused) for is_kept, _, refused in alone[0]]


def test_what_is_asked_of_a_size_rests_on_what_was_weighed_before_the_table(owner, dams, sires):
    rows = [
        {
            **NOTHING,
            "dam": dam,
            "sire": sires[0],
            "born_on": on,
            "alive": 4,
            "weights": [weight, weight + 1, weight + 2, weight],
            "widths": [95, 96, 97, 94],
        }
        for on, weight in zip(DAYS[:2] + DAYS[3:], (45, 47, 49, 20), strict=True)
        for dam in dams[:3]
    ]
    keeping = Keeping(owner, cast.program_now(), NOW, TODAY, "left")
    alone = become("litters", rows, one_by_one(ONE_ROW["litters"]), keeping)
    assert become("litters", rows, KINDS["litters"].keep_all, keeping) == alone
    usual = "about 69 g would be usual among your own animals"
    assert [sum(usual in asked for asked, _ in doubts) for _, doubts, _ in alone[0]][-3:] == [1] * 3
