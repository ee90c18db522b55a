"""Unknowns that all animals share and those of each alone, as dense solvers find them."""

import numpy as np
import pytest
from scipy.optimize import least_squares

from breeding.animals.growth.curve import Curve, Numbers
from breeding.animals.growth.fit import Measured, Spreads, _Laid, fit_program
from breeding.animals.growth.shared import Blocks, Looked, least_of

START = Curve(763.06, 0.12, 149.0)  # P. leopoldi, wild females: Charvet et al. 2018, J Fish Biol.


def animals_of(seed: int, number: int = 12) -> list[Measured]:
    random = np.random.default_rng(seed)
    found = []
    for _ in range(number):
        ages = np.sort(random.uniform(0, 3, random.integers(1, 7)))
        rate, birth = 0.5 * np.exp(0.3 * random.standard_normal()), 100 + 5 * random.normal()
        widths = 600 - (600 - birth) * np.exp(-rate * ages) + 3 * random.standard_normal(len(ages))
        found.append(Measured(ages, widths))
    return found


def rows_of(laid: _Laid, unknown: Numbers, spreads: Spreads) -> Numbers:
    """All that is squared, in one row: the misses, then what every unknown is held to."""
    misses, *_ = laid.misses(unknown, spreads)
    return np.concatenate([misses, np.sqrt(laid.known) * (unknown[:3] - laid.start), unknown[3:]])


def whole(blocks: Blocks) -> Numbers:
    """The same curvature as one dense matrix."""
    shared, (number, _, each) = len(blocks.common), blocks.border.shape
    dense = np.zeros((shared + number * each,) * 2)
    dense[:shared, :shared] = blocks.common
    for one in range(number):
        at = slice(shared + one * each, shared + (one + 1) * each)
        dense[:shared, at], dense[at, :shared] = blocks.border[one], blocks.border[one].T
        dense[at, at] = blocks.own[one]
    return dense


@pytest.mark.parametrize("seed", range(4))
def test_the_least_squares_are_those_of_a_dense_solver(seed: int) -> None:
    laid, spreads = _Laid(animals_of(seed), START), Spreads()
    found = laid.solved(laid.first(), spreads)
    theirs = least_squares(
        lambda unknown: rows_of(laid, unknown, spreads), laid.first(), xtol=1e-12, ftol=1e-12
    )
    assert laid.looked(found, spreads).half == pytest.approx(theirs.cost, rel=1e-7)
    assert found == pytest.approx(theirs.x, abs=2e-3)


def test_slopes_are_those_of_small_steps() -> None:
    laid, spreads = _Laid(animals_of(5), START), Spreads()
    random = np.random.default_rng(5)
    at = laid.first() + 0.1 * random.standard_normal(len(laid.first()))
    looked, step = laid.looked(at, spreads), 1e-6
    risen = [
        (laid.looked(at + unit, spreads).half - laid.looked(at - unit, spreads).half) / (2 * step)
        for unit in step * np.eye(len(at))
    ]
    assert looked.rises == pytest.approx(np.array(risen), rel=1e-4, abs=1e-3)


def test_the_whole_curvature_is_that_of_small_steps() -> None:
    laid, spreads = _Laid(animals_of(6), START), Spreads()
    random = np.random.default_rng(6)
    at = laid.first() + 0.1 * random.standard_normal(len(laid.first()))
    step = 1e-5
    risen = [
        (laid.looked(at + unit, spreads).rises - laid.looked(at - unit, spreads).rises) / (2 * step)
        for unit in step * np.eye(len(at))
    ]
    looked = laid.looked(at, spreads, bent=True)
    assert whole(looked.blocks) == pytest.approx(np.array(risen), rel=1e-4, abs=1e-2)
    assert looked.half == laid.looked(at, spreads).half
    assert looked.rises == pytest.approx(laid.looked(at, spreads).rises)


@pytest.mark.parametrize("seed", range(4))
def test_whole_steps_lead_where_small_ones_do(seed: int) -> None:
    laid, spreads = _Laid(animals_of(seed, 40), START), Spreads()
    straight = least_of(lambda unknown: laid.looked(unknown, spreads), laid.first())
    for near in (False, True):
        found = laid.solved(laid.first(), spreads, near=near)
        assert found == pytest.approx(straight, abs=2e-4)


def test_blocks_are_solved_and_turned_around_as_one_matrix_is() -> None:
    laid, spreads = _Laid(animals_of(7), START), Spreads()
    blocks = laid.looked(laid.first(), spreads).blocks
    dense = whole(blocks)
    right = np.random.default_rng(7).standard_normal(len(dense))
    common, own = blocks.doubt()
    turned = np.linalg.inv(dense)
    assert blocks.solved(right) == pytest.approx(np.linalg.solve(dense, right))
    assert common == pytest.approx(turned[:3, :3])
    assert own.ravel() == pytest.approx(np.diag(turned)[3:])
    assert np.diag(whole(blocks.held_back(0.5))) == pytest.approx(1.5 * np.diag(dense))


def test_where_a_step_goes_too_far_it_is_held_back() -> None:
    """The least of (exp(x) - 1)^2 / 2 from far on the flat side, where a whole step overshoots."""

    def look(unknown: Numbers) -> Looked:
        grown, own = np.exp(unknown[0]), unknown[1]
        return Looked(
            float((grown - 1) ** 2 + own**2) / 2,
            np.array([(grown - 1) * grown, own]),
            Blocks(np.array([[grown**2]]), np.zeros((1, 1, 1)), np.ones((1, 1, 1))),
        )

    assert least_of(look, np.array([-6.0, 1.0])) == pytest.approx(np.zeros(2), abs=1e-5)


def test_one_animal_measured_once_is_fitted_too() -> None:
    program = fit_program([Measured.of([(0.0, 140.0)])], start=START)
    assert program.animals == program.measurements == 1
    assert 140 < program.middle.birth_width < 149
