"""Weight for width of the program's own animals: doubts, the hint, rations, and their cost."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from benchmarks.started import forget_everything
from breeding.animals.growth.weights import WeighedProgram, expected_weight_g, weighed_before
from breeding.animals.models import Measurement
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import add_measurement
from breeding.litters.births.facts import PupFacts
from breeding.litters.services import record_birth
from breeding.program.frame.memory import for_one_request
from breeding.program.problems.doubts import DoubtError
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db


def weighed(animal, width_mm, grams, days=30):
    return Measurement.objects.create(
        animal=animal, on=ago(days), disc_width_mm=width_mm, weight_g=grams
    )


def usual(width_mm):
    """Animals of this program are half as heavy again as the published ones."""
    return round(0.09 * (width_mm / 10) ** 2.95)


@pytest.fixture
def six(owner):
    return six_of("motoro")


def six_of(species):
    found = [cast.male(f"Star {n}", pure=species) for n in range(6)]
    for n, one in enumerate(found):
        for k in range(4):
            width = 100 + 20 * k + 5 * n
            weighed(one, width, round(usual(width) * (0.97 + 0.01 * n)), days=100 - 7 * k)
    return found


def test_the_own_animals_are_asked_once_there_are_enough(six):
    deneb = cast.male("Deneb", pure="motoro")
    found = expected_weight_g([deneb], {deneb.pk: 150})
    assert found[deneb.pk] == pytest.approx(usual(150), rel=0.05)


def test_before_that_the_published_pair_is(owner):
    deneb = cast.male("Deneb", pure="motoro")
    assert expected_weight_g([deneb], {deneb.pk: 200})[deneb.pk] == pytest.approx(378.4, abs=0.1)
    assert expected_weight_g([deneb], {}) == {}


def test_a_typed_weight_is_held_against_the_own_animals(six):
    deneb = cast.male("Deneb", pure="motoro")
    light = round(usual(150) * 0.55)  # well within five times of the published pair
    with pytest.raises(DoubtError, match="would be usual among your own animals"):
        add_measurement(deneb, by=None, on=ago(0), disc_width_mm=150, weight_g=light)
    add_measurement(deneb, by=None, on=ago(0), disc_width_mm=150, weight_g=usual(150))


def test_each_pup_of_a_birth_is_held_against_the_own_animals(owner):
    six, vega = six_of("leopoldi"), cast.female("Vega", pure="leopoldi", born_on=ago(1500))
    pups = [PupFacts(disc_width_mm=120, weight_g=round(usual(120) * times)) for times in (1, 0.55)]
    usual_here = "would be usual among your own animals"
    with for_one_request(), weighed_before(), pytest.raises(DoubtError, match=usual_here):
        record_birth(
            dam=vega,
            born_on=ago(10),
            pups=pups,
            parents=Parents(six[0], vega),
            today=ago(0),
            by=None,
        )


def test_a_female_that_may_carry_young_is_neither_used_nor_judged(six):
    mira = cast.female("Mira", pure="motoro")
    cast.pair(mira, six[0], 60, 40)
    weighed(mira, 150, usual(150) * 2, days=20)
    assert mira.pk not in {key for key, *_ in WeighedProgram().usual_of(mira).points}
    add_measurement(mira, by=None, on=ago(0), disc_width_mm=151, weight_g=usual(150) * 2)
    vega = cast.female("Vega", pure="motoro")
    weighed(vega, 150, usual(150), days=20)
    assert vega.pk in {key for key, *_ in WeighedProgram().usual_of(vega).points}


def test_weights_before_a_birth_are_left_out(six):
    mira = cast.female("Mira", pure="motoro", born_on=ago(2000), born_precision="day")
    before, after = weighed(mira, 300, 3000, days=130), weighed(mira, 301, 2000, days=50)
    cast.ray("Pup", dam=mira, sire=six[0], born_on=ago(100), born_precision="day")
    grams = {g for key, _, g in WeighedProgram().usual_of(mira).points if key == mira.pk}
    assert (before.weight_g in grams, after.weight_g in grams) == (False, True)


def test_the_animals_page_draws_it_among_the_others_and_says_that_it_is_light(as_viewer, six):
    deneb = cast.male("Deneb", pure="motoro")
    weighed(deneb, 150, round(usual(150) * 0.68), days=1)
    page = words(as_viewer.get(deneb.get_absolute_url()))
    assert "light for its width: " in page.partition("Weight for width")[2]
    assert f'id="weight-{deneb.pk}-title"' in page


def test_too_few_are_counted_out_loud(as_viewer, owner):
    deneb = cast.male("Deneb", pure="motoro")
    weighed(deneb, 150, 200)
    page = words(as_viewer.get(deneb.get_absolute_url()))
    assert "from 20 points of 5 animals of its kind on; 1 of 1 animal are on record" in page


@pytest.mark.django_db(transaction=True)
def test_what_was_weighed_since_the_page_was_read_stands_on_it(as_viewer, six):
    """Also when a female is found to have carried: her weights count no more."""
    forget_everything()
    deneb, mira = cast.male("Deneb", pure="motoro"), cast.female("Mira", pure="motoro")
    weighed(mira, 150, usual(150) * 2, days=20)

    def ground() -> str:
        page = words(as_viewer.get(deneb.get_absolute_url()))
        return page.partition("By ")[2].partition(" of this program")[0]

    weighed(deneb, 150, usual(150))
    assert ground() == ground() == "26 points of 8 animals"
    weighed(deneb, 160, usual(160))
    assert ground() == "27 points of 8 animals"
    cast.pair(mira, six[0], 60, 40)
    assert ground() == "26 points of 7 animals"


def test_it_costs_as_many_queries_with_ten_times_the_records(six):
    def asked():
        with CaptureQueriesContext(connection) as queries:
            expected_weight_g(six, {one.pk: 150 for one in six})
        return len(queries)

    asked()
    before = asked()
    for one in six:
        for k in range(40):
            weighed(one, 100 + k, usual(100 + k), days=200 + k)
    assert asked() <= before


def test_no_more_than_the_latest_rows_are_read(six, monkeypatch):
    monkeypatch.setattr("breeding.animals.growth.weights.MOST_ROWS", 10)
    assert sum(map(len, WeighedProgram().points.values())) == 10
