"""Days of company with mature males, merged and clipped: lines of days drawn by hand, no rows."""

import datetime

import pytest

from breeding.animals.models import Animal
from breeding.animals.species.profiles import Figures
from breeding.housing.stays.shared_water import Shared
from breeding.pairings.models import Pairing
from breeding.pairings.season.exposure import (
    Exposure,
    Span,
    Stretch,
    exposure_of,
    mature_since,
    maturity_of,
)
from breeding.pairings.season.facts import Together
from tests import cast

START = cast.day("2026-03-01")
MIRA, DENEB, ALTAIR = 1, 2, 3
ANIMALS = {
    MIRA: Animal(pk=MIRA, code="F1", call_name="Mira", sex="F"),
    DENEB: Animal(pk=DENEB, code="M1", call_name="Deneb", sex="M"),
    ALTAIR: Animal(pk=ALTAIR, code="M2", call_name="Altair", sex="M"),
}


def on(number):
    return None if number is None else START + datetime.timedelta(days=number)


def pairing(pk):
    return Pairing(pk=pk)


def span(first, last, male=DENEB, pair=None):
    return Span(male, on(first), on(last), pair)


def exposure(*spans):
    return Exposure({MIRA: spans}, ANIMALS)


def numbers(first, last):
    return ((first - START).days, None if last is None else (last - START).days)


def stretches(*spans, asof=100, **since):
    since = {name: on(value) for name, value in since.items()}
    found = exposure(*spans).stretches(MIRA, asof=on(asof), **since)
    return [numbers(one.first, one.last) for one in found]


def with_any(*spans, since, until):
    found = exposure(*spans).days_with_a_male(MIRA, since=on(since), until=on(until))
    return [numbers(*one) for one in found]


# ---------------------------------------------------------------------------------- the stretch


@pytest.mark.parametrize(
    ("last", "asof", "days"),
    [
        (3, 10, [1, 2, 3]),
        (3, 2, [1, 2]),
        (3, 1, [1]),
        (3, 0, []),
        (None, 3, [1, 2, 3]),
        (1, 9, [1]),
    ],
)
def test_both_ends_of_a_stretch_are_days_together_up_to_the_day_of_reckoning(last, asof, days):
    stretch = Stretch(ANIMALS[DENEB], on(1), on(last))
    assert stretch.days(on(asof)) == [on(number) for number in days]


@pytest.mark.parametrize(
    ("since", "asof", "expected"),
    [
        (0, 100, [(5, 10)]),
        (10, 100, [(10, 10)]),
        (11, 100, []),
        (0, 4, []),
        (0, 5, [(5, None)]),  # what ends later goes on, as far as is known that day
        (0, 9, [(5, None)]),
        (0, 10, [(5, 10)]),
        (7, 8, [(7, None)]),
    ],
)
def test_what_ended_before_or_began_after_is_left_out_and_the_rest_is_clipped(
    since, asof, expected
):
    assert stretches(span(5, 10), since=since, asof=asof) == expected


def test_what_goes_on_has_no_end_and_is_clipped_as_well():
    assert stretches(span(5, None)) == [(5, None)]
    assert stretches(span(5, None), since=50) == [(50, None)]
    assert stretches(span(5, None), asof=4) == []
    assert exposure().stretches(ALTAIR, asof=on(9)) == ()


@pytest.mark.parametrize(
    ("spans", "expected"),
    [
        ([(0, 3), (4, 6)], [(0, 6)]),  # no day between them
        ([(0, 3), (5, 6)], [(0, 3), (5, 6)]),
        ([(0, 3), (3, 6)], [(0, 6)]),
        ([(4, 6), (0, 3)], [(0, 6)]),
        ([(0, 10), (2, 3), (11, 12)], [(0, 12)]),
        ([(0, 10), (2, 3), (12, 12)], [(0, 10), (12, 12)]),
        ([(0, None), (50, 60)], [(0, None)]),
        ([(0, 5), (2, None), (50, 60)], [(0, None)]),
        ([(0, 5), (7, None)], [(0, 5), (7, None)]),
        ([(0, 2), (4, 6), (8, 9)], [(0, 2), (4, 6), (8, 9)]),
        ([(0, 2), (4, 6), (7, 8)], [(0, 2), (4, 8)]),
    ],
)
def test_days_with_one_male_that_touch_are_one_stretch(spans, expected):
    assert stretches(*(span(*one) for one in spans)) == expected


def test_males_have_stretches_of_their_own_by_first_day_and_name():
    spans = [span(4, 9), span(4, 9, ALTAIR), span(1, 2), span(0, 0, ALTAIR)]
    found = exposure(*spans).stretches(MIRA, asof=on(100))
    assert [(one.male.name, *numbers(one.first, one.last)) for one in found] == [
        ("Altair", 0, 0),
        ("Deneb", 1, 2),
        ("Altair", 4, 9),
        ("Deneb", 4, 9),
    ]


# ------------------------------------------------------------------------- of which pairings


def only(*spans, asof=100):
    (found,) = exposure(*spans).stretches(MIRA, asof=on(asof))
    return found


def test_a_shared_tank_alone_is_of_no_pairing():
    found = only(span(0, 5), span(3, 9))
    assert (found.pairing, found.pairings, found.sources) == (None, (), {"tank"})


def test_a_stretch_that_is_over_is_of_its_latest_pairing():
    one, two, three = pairing(1), pairing(2), pairing(3)
    found = only(span(0, 9, pair=two), span(0, 3, pair=one), span(2, 4, pair=three), span(5, 20))
    assert found.pairings == (one, two, three)
    assert found.pairing == three
    assert found.sources == {"tank", "pairing"}
    assert only(span(0, 5, pair=one), span(3, 9)).pairing == one
    assert only(span(0, 5, pair=one)).sources == {"pairing"}


def test_a_stretch_that_goes_on_is_of_the_pairing_that_does():
    one, two = pairing(1), pairing(2)
    found = only(span(0, None, pair=two), span(0, 3, pair=one))
    assert (found.pairing, found.pairings, found.last) == (two, (one, two), None)
    left = only(span(0, 3, pair=one), span(0, None))
    assert (left.pairing, left.pairings) == (None, (one,))
    assert only(span(0, 3, pair=one), span(0, None), asof=2).pairing == one


# -------------------------------------------------------------------------- whoever he was


@pytest.mark.parametrize(
    ("since", "until", "expected"),
    [
        (0, 100, [(5, 12), (20, 30)]),
        (12, 20, [(12, 12), (20, 20)]),
        (13, 19, []),
        (11, 25, [(11, 12), (20, 25)]),
        (0, 5, [(5, 5)]),
        (30, 99, [(30, 30)]),
        (31, 99, []),
    ],
)
def test_days_with_whoever_it_was_are_joined_and_kept_within_two_days(since, until, expected):
    spans = [span(5, 10), span(8, 12, ALTAIR), span(20, 30)]
    assert with_any(*spans, since=since, until=until) == expected


def test_company_that_goes_on_lasts_to_the_day_asked_for():
    spans = [span(5, None), span(6, 7, ALTAIR)]
    assert with_any(*spans, since=0, until=40) == [(5, 40)]
    assert with_any(*spans, since=50, until=60) == [(50, 60)]
    assert with_any(*spans, since=0, until=4) == []
    assert exposure().days_with_a_male(ALTAIR, since=on(0), until=on(9)) == ()


# ------------------------------------------------------------------------------- from when on


def mature(born_on=None, *widths, days=548.0):
    born = None if born_on is None else on(born_on)
    sizes = [(on(number), width) for number, width in widths]
    return mature_since(born, sizes, least_days=days, least_mm=270)


def test_by_age_one_is_mature_on_the_day_it_is_old_enough():
    assert mature(0) == (on(548), True)
    assert mature(0, days=0.4) == (on(0), True)
    assert mature(0, (1, 400), days=0.6) == (on(1), True)  # known age decides, whatever the size
    assert mature(0, days=1e9) == (datetime.date.max, True)


def test_of_unknown_age_the_first_day_it_was_large_enough_counts():
    assert mature() == (datetime.date.min, False)
    assert mature(None, (5, 270)) == (datetime.date.min, True)
    assert mature(None, (5, 300), (9, 310)) == (datetime.date.min, True)
    assert mature(None, (5, 269)) == (on(553), True)
    assert mature(None, (5, 269), (9, 270), (20, 300)) == (on(9), True)
    assert mature(None, (5, 200), (900, 300)) == (on(553), True)


# --------------------------------------------------------------------------------- all of it


def together(shared=(), pairings=(), widths=(), values=(), **births):
    animals = {
        pk: Animal(pk=pk, code=one.code, sex=one.sex, born_on=births.get(one.call_name.lower()))
        for pk, one in ANIMALS.items()
    }
    met = {pk for one in shared for pk in (one.one, one.other)}
    return Together(
        females=frozenset({MIRA}),
        pairings={MIRA: pairings} if pairings else {},
        shared={MIRA: shared} if shared else {},
        animals=animals,
        widths={pk: [(on(day), mm)] for pk, day, mm in widths},
        figures={pk: Figures("any", dict(values)) for pk in met},
    )


def company(facts):
    return [numbers(one.first, one.last) for one in exposure_of(facts).spans.get(MIRA, ())]


def met(first, last, male=DENEB):
    return Shared(MIRA, male, 9, on(first), on(last))


GROWN = START - datetime.timedelta(days=3000)
DAYS = {"mature_male_days": 10, "mature_female_days": 20}


def test_of_those_who_share_a_tank_days_before_either_is_mature_are_left_out():
    born = {"mira": START, "deneb": START}
    assert company(together([met(0, 50)], values=DAYS, **born)) == [(20, 50)]
    assert company(together([met(0, None)], values=DAYS, mira=GROWN, deneb=START)) == [(10, None)]
    assert company(together([met(0, None)], values=DAYS, mira=START, deneb=GROWN)) == [(20, None)]
    assert company(together([met(30, 50)], values=DAYS, **born)) == [(30, 50)]
    assert company(together([met(0, 20)], values=DAYS, **born)) == [(20, 20)]
    assert company(together([met(0, 19)], values=DAYS, **born)) == []


def test_of_those_the_keeper_put_together_every_day_counts():
    pairs = [Pairing(pk=5, male_id=DENEB, introduced_on=on(1), separated_on=on(4))]
    facts = together([met(0, 30)], pairs, values=DAYS, mira=START, deneb=GROWN)
    assert company(facts) == [(1, 4), (20, 30)]
    spans = exposure_of(facts).spans[MIRA]
    assert [(one.source, one.pairing, one.male) for one in spans] == [
        ("pairing", pairs[0], DENEB),
        ("tank", None, DENEB),
    ]


@pytest.mark.parametrize(
    ("female_mm", "male_mm", "expected"),
    [(330, 270, [(0, 9)]), (329, 270, []), (330, 269, [])],
)
def test_without_figures_a_male_is_large_from_27_and_a_female_from_33_centimetres_on(
    female_mm, male_mm, expected
):
    """P. motoro: males from 27 to 31 cm, females from 33 to 35 cm, by keepers' records."""
    widths = [(MIRA, -1, female_mm), (DENEB, -1, male_mm)]
    assert company(together([met(0, 9)], widths=widths)) == expected


def test_without_figures_one_is_old_enough_after_eighteen_months():
    born = {"mira": START, "deneb": START}
    assert company(together([met(0, None)], **born)) == [(548, None)]


def test_figures_of_each_sex_decide_for_it():
    values = {"mature_male_mm": 300, "mature_female_mm": 400}
    for female_mm, male_mm, expected in ((400, 300, 1), (399, 300, 0), (400, 299, 0)):
        widths = [(MIRA, -1, female_mm), (DENEB, -1, male_mm)]
        assert len(company(together([met(0, 9)], widths=widths, values=values))) == expected


def test_of_whom_neither_age_nor_size_is_known_is_named():
    facts = together([met(0, 9), met(0, 9, ALTAIR)], widths=[(ALTAIR, -1, 300)], mira=GROWN)
    assert exposure_of(facts).unknown_maturity == {DENEB}
    assert len(company(facts)) == 2


@pytest.mark.django_db
def test_maturity_follows_the_figures_of_the_species(species_data):
    mira = cast.female("Mira", pure="motoro", born_on=START, born_precision="day")
    deneb = cast.male("Deneb", pure="motoro")
    found = maturity_of({one.pk: one for one in (mira, deneb)})
    assert found[mira.pk] == (on(548), True)
    assert found[deneb.pk] == (datetime.date.min, False)
