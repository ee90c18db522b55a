"""How many examples hypothesis tries of what must hold for any.

As many as a test says, times RAYWARD_TRIES: 10 looks deeper, 0.3 is for a second database.
"""

import os

from hypothesis import HealthCheck, Phase, settings

TIMES = float(os.environ.get("RAYWARD_TRIES", "1"))


def draw_alike() -> None:
    """The usual examples are the same in every run; more than usual are others each time.

    How quick the machine is says nothing of what is tried: nothing fails by that.
    """
    settings.register_profile(
        "alike",
        derandomize=TIMES <= 1,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow],
    )
    settings.load_profile("alike")


def tries(number: int) -> int:
    """So many times as many, and never none."""
    return max(1, round(number * TIMES))


def of_few_rows(number: int) -> settings:
    """Of tables of a few rows, written into the records of fixtures: no need to shrink them."""
    return settings(
        max_examples=tries(number),
        phases=[Phase.explicit, Phase.reuse, Phase.generate],
        deadline=None,
        suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    )
