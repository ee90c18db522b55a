"""Weight a female has lost since her last birth, in words: figures worked out by hand."""

from types import SimpleNamespace

import pytest

from breeding.animals.services import add_measurement
from breeding.pairings.care.thinning import weight_loss_of, weight_loss_words
from tests import cast

pytestmark = pytest.mark.django_db
TODAY = cast.day("2026-04-30")
CONSIDER = "a male that harasses her can be the cause, so consider separating them"


@pytest.fixture(scope="module")
def mira(kept_for_the_file):
    """2,000 g on 1 March and 1,500 g on 20 April: a quarter is gone."""
    mira = cast.female("Mira", pure="motoro")
    add_measurement(mira, by=None, on=cast.day("2026-03-01"), weight_g=2000)
    add_measurement(mira, by=None, on=cast.day("2026-04-01"), disc_width_mm=520)
    add_measurement(mira, by=None, on=cast.day("2026-04-20"), weight_g=1500)
    add_measurement(mira, by=None, on=None, weight_g=3000)
    return mira


def season(mira, *outcomes, together_since=None):
    ended = [SimpleNamespace(on=cast.day(on), kind=kind) for on, kind in outcomes]
    return SimpleNamespace(female=mira, asof=TODAY, outcomes=ended, together_since=together_since)


def said(mira, caution, **more):
    return weight_loss_words(season(mira, **more), cast.the_program(weight_loss_caution=caution))


def test_the_loss_is_that_of_the_weights_on_record(mira):
    found = weight_loss_of(season(mira))
    assert (found.heaviest_g, found.latest_g, found.share) == (2000, 1500, 0.25)


def test_what_a_birth_took_is_no_loss_and_what_followed_another_end_is(mira):
    assert weight_loss_of(season(mira, ("2026-03-10", "live_birth"))) is None
    assert weight_loss_of(season(mira, ("2026-03-10", "resorbed"))).share == 0.25
    births = [("2025-03-10", "live_birth"), ("2026-03-10", "premature")]
    assert weight_loss_of(season(mira, *births)) is None
    assert weight_loss_of(season(mira, *reversed(births))) is None


def test_from_the_programs_share_on_it_is_said(mira):
    assert said(mira, 0.25) == (
        "Lost 25 % of her weight since 1 March 2026: 2.00 kg then, 1.50 kg on 20 April 2026. Look "
        "at her feeding and condition, and weigh her again. If it goes on: an aquatic "
        "veterinarian."
    )
    assert said(mira, 0.26) == ""


def test_a_male_beside_her_is_named_as_a_possible_cause(mira):
    assert CONSIDER not in said(mira, 0.1)
    assert f"weigh her again; {CONSIDER}. If" in said(mira, 0.1, together_since=TODAY)


def test_of_one_that_was_never_weighed_nothing_is_said(mira):
    assert said(cast.female("Vega", pure="motoro"), 0.0) == ""
