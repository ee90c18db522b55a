"""How early the day notices an illness among thirty young: `python -m benchmarks.raising [seeds]`.

A simulated year with known growth, meals left and illnesses (tests/litters/raised.py): after how
many days each illness stands on the day, and how many alarms a week are false. Seeds are numbers
or spans of them (`1-10`); of several a summary follows, by illness the middle and the worst. The
thresholds were chosen on 11-20. A year takes about a minute, and is gone before the next.
"""

import argparse
import os
import tempfile
from collections.abc import Iterator, Sequence
from statistics import median
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.litters.raised import Heard

NEVER = 999  # days; not noticed while it lasted
SOON_REFUSED, SOON_WASTED = 3, 14  # days within which an illness should be noticed


def main() -> None:
    """One year for each seed, in a database of its own."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("seeds", nargs="*", type=_span, default=[range(1, 2)])
    seeds = [seed for span in parser.parse_args().seeds for seed in span]
    with tempfile.TemporaryDirectory(prefix="rayward-raising-") as home:
        os.environ["RAYWARD_HOME"] = home
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        import django

        django.setup()
        from django.db import connection

        connection.creation.create_test_db(verbosity=0)
        years = [_year(seed) for seed in seeds]
    if len(years) > 1:
        print("\n" + "\n".join(_summary(years)))


def _span(typed: str) -> range:
    """The seeds of "3" or of "1-10"."""
    first, _, last = typed.partition("-")
    return range(int(first), int(last or first) + 1)


def _year(seed: int) -> "Heard":
    from django.core.management import call_command
    from django.db import transaction

    from breeding.program import clock
    from tests import cast
    from tests.litters.raised import DAY, DAYS, raise_them

    call_command("load_species", verbosity=0)
    with transaction.atomic():
        heard = raise_them(cast.owner(), clock.today() - DAYS * DAY, seed=seed)
        transaction.set_rollback(True)
    print(f"\nseed {seed}\n" + "\n".join(heard.rows()), flush=True)
    return heard


def _summary(years: Sequence["Heard"]) -> Iterator[str]:
    from tests.litters.raised import ILLNESSES

    yield f"{len(years)} years{'':25}middle  worst  in time"
    for one in ILLNESSES:
        days = [year.noticed.get(one, (NEVER, ""))[0] for year in years]
        soon = SOON_REFUSED if one.leaves else SOON_WASTED
        in_time = sum(day <= soon for day in days)
        worst = "never" if max(days) == NEVER else max(days)
        yield f"{one.words:<32}{median(days):>6.1f}{worst:>7}  {in_time} within {soon} days"
    weeks = [year.false_a_week for year in years]
    mean = sum(weeks) / len(weeks)
    yield f"false alarms a week: {mean:.2f}, in the worst year {max(weeks):.2f}"


if __name__ == "__main__":
    main()
