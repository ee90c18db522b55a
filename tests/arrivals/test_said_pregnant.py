"""Said to be pregnant when she came: a hint on her season and on the day, until something tells."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.agenda.gathered import Gathered
from breeding.agenda.lines.disagreeing import disagreement_lines
from breeding.animals.services import change_state
from breeding.arrivals.models import Arrival
from breeding.arrivals.services import write_how_it_came
from breeding.pairings.season.hints import hints_on
from breeding.pairings.season.reading import season_of
from breeding.pairings.services import record_outcome, record_scan
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def mira():
    cast.the_program()
    return cast.female("Mira", pure="motoro")


def came(mira, days=20, pregnant="yes"):
    return write_how_it_came(
        mira, by=None, today=ago(0), contact=None, on=ago(days), pregnant=pregnant
    )


def lines():
    gathered = Gathered(cast.the_program(), ago(0))
    return [one for one in disagreement_lines(gathered) if one.kind.key == "said_pregnant"]


def test_it_stands_on_her_season_with_its_source_and_on_the_day(as_keeper, mira):
    came(mira)
    (line,) = lines()
    assert (line.who, line.on) == ("Mira", ago(20))
    assert "was said to be pregnant when she came on" in line.why
    assert [act.words for act in line.acts] == [
        "Write down a scan",
        "How it ended",
        "Change what was said",
    ]
    page = words(as_keeper.get(reverse("pairings:female", args=[mira.pk])))
    assert "Mira was said to be pregnant when she came" in page
    assert reverse("pairings:scan", args=[mira.pk]) in page


def test_nothing_is_reckoned_from_it(mira):
    before = season_of(mira, cast.the_program(), asof=ago(0)).estimate.chance
    came(mira)
    assert season_of(mira, cast.the_program(), asof=ago(0)).estimate.chance == before


@pytest.mark.parametrize("positive", [True, False])
def test_a_scan_tells(mira, positive):
    came(mira)
    record_scan(female=mira, on=ago(5), positive=positive, today=ago(0), by=None)
    assert lines() == []


def test_so_does_how_it_ended(mira):
    came(mira)
    record_outcome(female=mira, on=ago(5), kind="live_birth", today=ago(0), by=None)
    assert lines() == []


def test_a_scan_before_she_came_told_nothing_of_what_was_said(mira):
    record_scan(female=mira, on=ago(25), positive=False, today=ago(0), by=None)
    came(mira)
    assert len(lines()) == 1


def test_it_ends_when_no_young_can_come_any_more_and_when_she_is_gone(mira):
    came(mira, days=20)
    change_state(mira, state="left", on=ago(1))
    assert lines() == []
    vega = cast.female("Vega", pure="motoro")
    came(vega, days=500)
    assert lines() == []


def test_said_not_to_be_and_not_said_is_no_hint(mira):
    came(mira, pregnant="no")
    came(mira, days=10, pregnant="")
    assert lines() == []


def test_put_right_it_is_gone(as_keeper, mira):
    arrival = came(mira)
    Arrival.objects.filter(pk=arrival.pk).update(pregnant="")
    assert lines() == []


def test_as_many_queries_with_more_of_them(mira):
    def questions():
        hints_on(ago(0))  # what is kept between requests is read anew after a new animal
        with CaptureQueriesContext(connection) as asked:
            found = len(hints_on(ago(0)))
        return found, len(asked)

    came(mira)
    assert questions()[0] == 1
    cost = questions()[1]
    for number in range(5):
        came(cast.female(f"Ray {number}", pure="motoro"))
    assert questions() == (6, cost)
