"""The lowest place of a height: the same corner that scipy finds, step by step."""

import numpy as np
import pytest
from scipy.optimize import minimize

from breeding.animals.growth.simplex import lowest

pytestmark = pytest.mark.one_database("arithmetic of heights, without any row")


def bowl(at):
    return (at[0] - 1) ** 2 + 3 * (at[1] + 2) ** 2 + at[0] * at[1]


def valley(at):
    """Rosenbrock 1960, Computer Journal 3:175-184."""
    return 100 * (at[1] - at[0] ** 2) ** 2 + (1 - at[0]) ** 2


@pytest.mark.parametrize("height", [bowl, valley])
@pytest.mark.parametrize("first", [(1.5, -0.5), (0.0, 2.0), (-1.2, 1.0), (30.0, -40.0)])
@pytest.mark.parametrize(("close", "most_steps"), [(0.05, 120), (1e-6, 300), (1e-6, 7)])
def test_the_corner_is_that_of_scipy(height, first, close, most_steps):
    # Of scipy's steps the first is that which looks at the first corners.
    theirs = minimize(
        height,
        np.array(first),
        method="Nelder-Mead",
        options={"maxiter": most_steps + 1, "xatol": close, "fatol": close},
    )
    found = lowest(height, first, close=close, most_steps=most_steps)
    assert found == pytest.approx(tuple(theirs.x), rel=1e-9, abs=1e-12)


def test_the_lowest_place_of_the_valley_is_found():
    found = lowest(valley, (-1.2, 1.0), close=1e-8, most_steps=500)
    assert found == pytest.approx((1.0, 1.0), abs=1e-6)
