"""The year in figures: rates, sexes and survival with known answers, and the page."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals import services as animals
from breeding.animals.models import Animal, PossibleSire
from breeding.animals.parents.parentage import Parents
from breeding.health.models import Death
from breeding.litters.services import PupFacts, record_birth
from breeding.planning.year.queries import choice_of, year_report
from breeding.planning.year.said import answer_words, few_words, left_out_words, sex_words
from breeding.planning.year.statistics import Life, chance_if_even, rate_of, survival
from breeding.program import clock
from breeding.program.services import withdraw
from tests import cast
from tests.cast import words

YEAR = reverse("planning:year")


# --------------------------------------------------------------------------- the figures


@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [(0, 10, 0.0, 0.2775), (10, 10, 0.7225, 1.0), (8, 10, 0.4902, 0.9433), (1, 1, 0.2065, 1.0)],
)
@pytest.mark.one_database("plain arithmetic of numbers")
def test_a_rate_has_wilsons_interval(count, of, low, high):
    """By hand: (k + z^2/2) / (n + z^2) -+ z / (n + z^2) * sqrt(k (n - k) / n + z^2 / 4)."""
    found = rate_of(count, of)
    assert (round(found.low, 4), round(found.high, 4)) == (low, high)


@pytest.mark.one_database("plain arithmetic of numbers")
def test_a_rate_of_more_than_all_is_refused():
    with pytest.raises(ValueError, match="3 of 2: the count has to be from 0 to 2"):
        rate_of(3, 2)


@pytest.mark.parametrize(
    ("males", "of", "chance"), [(6, 16, 0.4545), (4, 9, 1.0), (7, 10, 0.3438), (0, 6, 0.0312)]
)
@pytest.mark.one_database("plain arithmetic of numbers")
def test_the_sex_ratio_is_held_against_one_to_one(males, of, chance):
    assert round(chance_if_even(males, of - males), 4) == chance


@pytest.mark.one_database("plain arithmetic of numbers")
def test_survival_is_that_of_the_published_example():
    """Weeks of remission of 21 patients: Freireich et al. 1963, Blood 21:699-716.

    The steps and the band on the log-log scale as textbooks print them (Cox & Oakes 1984); these
    figures are from memory, and Greenwood's formula by hand gives the same.
    """
    died, went_on = (6, 6, 6, 7, 10, 13, 16, 22, 23), (6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35)
    steps = survival([*(Life(d, True) for d in died), *(Life(d, False) for d in went_on)])
    assert [
        (one.days, one.at_risk, one.died, *(round(f, 4) for f in (one.alive, one.low, one.high)))
        for one in steps[1:]
    ] == [
        (6, 21, 3, 0.8571, 0.6197, 0.9516),
        (7, 17, 1, 0.8067, 0.5631, 0.9228),
        (10, 15, 1, 0.7529, 0.5032, 0.8894),
        (13, 12, 1, 0.6902, 0.4316, 0.8491),
        (16, 11, 1, 0.6275, 0.3675, 0.8049),
        (22, 7, 1, 0.5378, 0.2678, 0.7468),
        (23, 6, 1, 0.4482, 0.1881, 0.6801),
    ]


@pytest.mark.one_database("plain arithmetic of numbers")
def test_survival_where_no_band_can_be_given():
    assert survival([]) == []
    assert [one.alive for one in survival([Life(9, False)])] == [1.0]
    (start, end) = survival([Life(5, True), Life(5, True)])
    assert (start.alive, end.alive, end.low, end.high) == (1.0, 0.0, None, None)
    born_weak = survival([Life(0, True), Life(8, False)])
    assert [(one.days, one.alive) for one in born_weak] == [(0, 0.5)]


# --------------------------------------------------------------------------- from the records


@pytest.fixture
def today():
    return clock.today()


def litter(dam, sire, days_old, sexes, today, dead=0, possible=()):
    born_on = today - datetime.timedelta(days=days_old)
    pups = [PupFacts(sex=one) for one in sexes] + [PupFacts(alive=False)] * dead
    return record_birth(
        dam=dam,
        born_on=born_on,
        pups=pups,
        today=today,
        by=None,
        parents=Parents(sire, dam, tuple(possible)),
    )


def gone(litter, number, state, at):
    animal = litter.pups.get(number=number).animal
    on = None if at is None else litter.born_on + datetime.timedelta(days=at)
    Animal.objects.filter(pk=animal.pk).update(state=state, state_on=on)
    return animal


@pytest.fixture
def year(species_data, today):
    """Ten born of Mira and Deneb 200 days ago, nine alive: two died, one left; four of Vega 10."""
    dam, sire = cast.female("Mira", pure="motoro"), cast.male("Deneb", pure="motoro")
    found = litter(dam, sire, 200, "MMMFFFFFF", today, dead=1)
    Death.objects.create(animal=gone(found, 1, "died", 9), cause="weak")
    gone(found, 2, "died", 60)
    gone(found, 3, "left", 70)
    litter(cast.female("Vega", pure="motoro"), sire, 10, "MMFF", today)
    return found


def report(today, asked="all"):
    return year_report(choice_of(asked), asof=today)


pytestmark = pytest.mark.django_db


def test_the_year_counts_those_of_whom_it_is_known(year, today):
    found = report(today)
    whole = found.whole
    assert (whole.litters, whole.born, whole.alive.count) == (2, 14, 13)
    assert (whole.thirty.count, whole.thirty.of, whole.not_yet) == (8, 9, 4)
    assert (whole.leaving.count, whole.leaving.of) == (8, 9)
    assert (whole.males, whole.females, whole.sex_unknown) == (5, 8, 1)
    assert answer_words(found) == (
        "Of 9 born alive, 8 lived to 30 days: 89 %, between 57 and 98 %."
    )
    assert left_out_words(found) == "Not counted: 4 are younger than 30 days, or left before."
    assert few_words(found).startswith("Few animals: with 9 pups")
    assert sex_words(found).startswith("5 males, 8 females. If each were as likely")
    assert sex_words(found).endswith("no sign that one sex is more likely. 1 pup of unknown sex.")
    assert found.losses == [("no cause on record", 1), ("weak from birth, suspected", 1)]
    assert [(one.days, round(one.alive, 4)) for one in found.steps] == [
        (0, 1.0),
        (9, round(12 / 13, 4)),
        (60, round(12 / 13 * 7 / 8, 4)),
    ]


def test_by_dam_by_sire_and_by_pair(year, today):
    found = report(today)
    assert [(one.name, one.born) for one in found.dams] == [("Mira", 10), ("Vega", 4)]
    assert [(one.name, one.litters, one.born) for one in found.sires] == [("Deneb", 2, 14)]
    assert [(one.name, one.thirty.of) for one in found.pairs] == [
        ("Mira and Deneb", 9),
        ("Vega and Deneb", 0),
    ]


def test_an_uncertain_sire_is_credited_with_nothing(year, today):
    one, other = cast.male("Altair", pure="motoro"), cast.male("Rigel", pure="motoro")
    found = litter(cast.female("Alya", pure="motoro"), None, 100, "FF", today, dead=1)
    for pup in found.pups.filter(animal__isnull=False):
        for sire in (one, other):
            PossibleSire.objects.create(animal=pup.animal, sire=sire, share="1/2")
    litter(cast.female("Naos", pure="motoro"), None, 100, "F", today)
    named = {part.name: part.born for part in report(today).sires}
    assert named == {"Deneb": 14, "sire not certain": 3, "sire not known": 1}


def test_one_that_died_on_an_unknown_day_is_said_and_not_guessed(year, today):
    gone(year, 4, "died", None)
    found = report(today)
    assert (found.died, found.day_unknown, found.whole.thirty.of) == (3, 1, 8)
    assert left_out_words(found) == (
        "Not counted: 4 are younger than 30 days, or left before; "
        "1 is gone since a day that is not on record."
    )


def test_a_year_holds_those_born_in_it(species_data):
    dam, sire = cast.female("Mira", pure="motoro"), cast.male("Deneb", pure="motoro")
    now = cast.day("2026-11-25")
    litter(dam, sire, 400, "FF", now)
    litter(dam, sire, 100, "M", now)
    assert choice_of("").years == [2026, 2025]
    assert report(now, "2025").whole.born == 2
    assert report(now, "").whole.born == 1
    assert [(one.name, one.born) for one in report(now).years] == [("2026", 1), ("2025", 2)]
    vain = choice_of("1999")
    assert (vain.year, vain.asked_in_vain) == (2026, "1999")


def test_a_litter_that_is_withdrawn_counts_no_more(year, today, owner):
    withdraw(year, by=owner, now=clock.now(), reason="slip")
    assert report(today).whole.litters == 1


# --------------------------------------------------------------------------- the page


def test_without_a_birth_the_page_says_what_to_do_first(as_keeper):
    assert "No birth is recorded yet" in words(as_keeper.get(YEAR))


def test_the_page_answers_first_and_draws_the_curve(as_viewer, year):
    answer = as_viewer.get(YEAR, {"year": "all"})
    page = words(answer)
    assert "Of 9 born alive, 8 lived to 30 days: 89 %, between 57 and 98 %." in page
    assert "At 30 days: 92 %, between 57 and 99 %" in page
    svg = answer.content.decode()
    assert "age in days" in svg
    assert "<desc" in svg
    assert "There is no litter on record for “1999”" in words(as_viewer.get(YEAR, {"year": "1999"}))


def test_each_table_can_be_taken_out(as_viewer, year):
    animals.change_animal(Animal.objects.get(call_name="Mira"), call_name="=1+1")
    rows = as_viewer.get(YEAR, {"year": "all", "table": "dams"}).content.decode("utf-8-sig")
    assert rows.splitlines()[1].startswith("'=1+1,1,10,9,10,0.5958,0.9821,8,9,0.5650,0.9801,")
    curve = as_viewer.get(YEAR, {"year": "all", "table": "survival"}).content.decode("utf-8-sig")
    assert curve.splitlines()[2].startswith("9,13,1,0.9231,")
    losses = as_viewer.get(YEAR, {"year": "all", "table": "losses"})
    assert 'weak from birth, suspected",1' in losses.content.decode()


def test_ten_more_litters_cost_no_more_questions(as_viewer, year, today):
    def asked():
        with CaptureQueriesContext(connection) as queries:
            as_viewer.get(YEAR, {"year": "all"})
        return len(queries)

    asked()
    before = asked()
    sire = cast.male("Rigel", pure="motoro")
    for number in range(10):
        litter(cast.female(f"Star {number}", pure="motoro"), sire, 100, "MF", today)
    asked()
    assert asked() <= before < 20
