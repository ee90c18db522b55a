"""The names that other rooms import, and that nothing of Django stands behind them."""

import subprocess
import sys


def test_the_function_and_the_file_of_one_name_are_both_there() -> None:
    from breeding.gestation import Profile, Scan, Sign, estimate
    from breeding.gestation.estimate import Estimate
    from breeding.gestation.estimate import estimate as same

    assert estimate is same
    assert callable(estimate)
    assert Profile.__module__ == "breeding.gestation.profile"
    assert {Scan.__module__, Sign.__module__} == {"breeding.gestation.reckoned"}
    assert Estimate.__name__ == "Estimate"


def test_everything_it_says_it_offers_is_there() -> None:
    import breeding.gestation as room

    assert all(hasattr(room, name) for name in room.__all__)
    assert {"Profile", "Scan", "Sign", "estimate"} <= set(room.__all__)


def test_no_django_is_loaded_with_it() -> None:
    asks = "import sys, breeding.gestation; print([m for m in sys.modules if m == 'django'])"
    said = subprocess.run([sys.executable, "-c", asks], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "[]"
