"""Growth beside littermates, and weight for width against itself: numbers one can check by hand."""

import datetime
import math

import pytest

from breeding.animals.growth.beside import gain_of, lighter, spread_of, spread_with

DAYS = [datetime.date(2026, 3, 1) + datetime.timedelta(days=7 * n) for n in range(6)]
EVEN = {day: 0.1 * n for n, day in enumerate(DAYS)}


def but(**changed: float) -> dict[datetime.date, float]:
    """As the others, with the last so much less, and without some days."""
    found = dict(EVEN)
    found[DAYS[-1]] -= changed.get("less", 0.0)
    return found


def litter(**changed: float) -> dict[int, dict[datetime.date, float]]:
    return {0: but(**changed), **{key: dict(EVEN) for key in range(1, 6)}}


def test_it_is_held_against_the_mean_of_its_four_weighings_before() -> None:
    gain = gain_of(0, litter(less=0.1))
    assert gain is not None
    assert (gain.since, gain.before) == (DAYS[1], 4)
    assert gain.own == pytest.approx(0.4 - 0.25)
    assert gain.mates == pytest.approx(0.5 - 0.25)
    assert gain.behind == pytest.approx(0.1)


def test_a_week_that_nobody_weighed_in_and_a_mate_that_was_left_out_change_nothing() -> None:
    found = litter(less=0.1)
    for sizes in found.values():
        del sizes[DAYS[3]]
    del found[5][DAYS[2]]
    gain = gain_of(0, found)
    assert gain is not None
    assert gain.behind == pytest.approx(0.1)


def test_one_weighed_again_alone_is_held_against_the_last_weighing_of_the_others() -> None:
    found = litter(less=0.1)
    again = DAYS[-1] + datetime.timedelta(days=3)
    found[0][again] = 0.38
    gain = gain_of(0, found)
    assert gain is not None
    assert gain.own == pytest.approx(0.38 - 0.25)
    assert gain.mates == pytest.approx(0.25)
    found[0][again + datetime.timedelta(days=6)] = 0.4
    assert gain_of(0, found) is None  # the others were last weighed too long ago


def test_with_two_littermates_or_one_weighing_before_nothing_is_said() -> None:
    assert gain_of(0, dict.fromkeys(range(3), EVEN)) is None
    last = {key: {day: EVEN[day] for day in DAYS[-2:]} for key in range(5)}
    assert gain_of(0, last) is None


def test_the_spread_is_that_of_the_litter_and_one_ill_one_does_not_make_it_wide() -> None:
    assert spread_of(litter(less=0.3), DAYS[-1]) == pytest.approx(0.0)
    apart = {key: {day: size * (1 + 0.1 * key) for day, size in EVEN.items()} for key in range(6)}
    assert spread_of(apart, DAYS[-1]) > 0.02
    assert spread_of({0: EVEN}, DAYS[-1]) == 0.0


def test_a_roughly_weighed_litter_is_held_to_its_own_scatter() -> None:
    careful = spread_with({0: EVEN}, DAYS[-1], 0.02)
    assert careful == pytest.approx(0.02 * 1.19)  # nothing else is known of this litter
    rough = {
        key: {
            day: size + 0.12 * ((3 * key + 5 * n) % 7 - 3) / 3
            for n, (day, size) in enumerate(EVEN.items())
        }
        for key in range(8)
    }
    assert spread_of(rough, DAYS[-1]) > 2 * careful
    assert careful < spread_with(rough, DAYS[-1], 0.02) <= spread_of(rough, DAYS[-1])
    even = {key: dict(EVEN) for key in range(8)}
    assert 0 < spread_with(even, DAYS[-1], 0.02) < careful  # however well, no hand is without error


def test_one_that_loses_what_it_gains_in_width_is_lighter_for_it() -> None:
    widths = [120.0, 124.0, 128.0, 133.0]
    points = [(day, mm, 100.0) for day, mm in zip(DAYS, widths, strict=False)]
    assert lighter(points, 3.0) == pytest.approx(3 * math.log(133 / 124))
    assert lighter(points[:3], 3.0) is None
