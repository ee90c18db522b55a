"""Weight lost: from the heaviest weight of the last weeks to the latest, by own arithmetic."""

import datetime

import pytest

from breeding.animals.growth.weight import WeightLoss, weight_loss

BORN = datetime.date(2026, 3, 1)


def on(days):
    return BORN + datetime.timedelta(days=days)


def loss(*weights, asof=200, after=None, **more):
    """The loss of weights given as (days, grams)."""
    return weight_loss(
        [(on(days), grams) for days, grams in weights],
        asof=on(asof),
        after=None if after is None else on(after),
        **more,
    )


def test_what_is_lost_is_a_share_of_the_heaviest_weight():
    """1,250 g - 150 g = 1,100 g; 150 / 1,250 = 12 / 100."""
    found = loss((0, 1250), (20, 1100))
    assert found == WeightLoss(on(0), 1250, on(20), 1100)
    assert found.share == pytest.approx(0.12)


def test_the_heaviest_may_stand_anywhere_before_the_latest():
    assert loss((0, 1100), (10, 1300), (20, 1200)).heaviest_on == on(10)
    assert loss((0, 1300), (10, 1100), (20, 1200)).heaviest_on == on(0)
    assert loss((20, 1200), (0, 1100), (10, 1300)) == WeightLoss(on(10), 1300, on(20), 1200)


def test_of_two_weights_alike_the_later_is_the_heaviest():
    assert loss((0, 1300), (10, 1300), (20, 1200)).heaviest_on == on(10)


def test_one_weight_or_none_tells_of_no_loss():
    assert loss() is None
    assert loss((0, 1250)) is None


def test_who_gained_or_kept_her_weight_lost_none():
    assert loss((0, 1100), (20, 1100)) is None
    assert loss((0, 1100), (20, 1250)) is None


def test_a_weight_of_the_day_itself_counts_and_one_of_tomorrow_does_not():
    assert loss((0, 1250), (20, 1100), asof=20).latest_on == on(20)
    assert loss((0, 1250), (20, 1100), asof=19) is None


def test_a_weight_from_before_a_birth_or_from_its_day_does_not_count():
    assert loss((0, 2000), (5, 1900), (10, 1500), after=5) is None
    assert loss((0, 2000), (6, 1900), (10, 1500), after=5).heaviest_g == 1900


def test_ninety_days_are_looked_back_from_the_latest_weight():
    assert loss((0, 1250), (90, 1100)).heaviest_g == 1250
    assert loss((0, 1250), (91, 1100)) is None
    assert loss((0, 1250), (30, 1100), look_back_days=30).heaviest_g == 1250
    assert loss((0, 1250), (30, 1100), look_back_days=29) is None
    assert loss((0, 1250), (50, 1200), (91, 1100)).heaviest_g == 1200
