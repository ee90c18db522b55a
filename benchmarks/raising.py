"""How early the day notices an illness among thirty young: `python -m benchmarks.raising [seeds]`.

A simulated year with known growth, meals left and illnesses (tests/litters/raised.py): after how
many days each illness stands on the day, and how many alarms a week are false.
"""

import os
import sys
import tempfile


def main() -> None:
    """One year for each seed, in a database of its own."""
    with tempfile.TemporaryDirectory(prefix="rayward-raising-") as home:
        os.environ["RAYWARD_HOME"] = home
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        import django

        django.setup()
        from django.db import connection

        connection.creation.create_test_db(verbosity=0)
        for seed in [int(one) for one in sys.argv[1:]] or [1]:
            _print_year(seed)


def _print_year(seed: int) -> None:
    from django.core.management import call_command
    from django.db import transaction

    from breeding.program import clock
    from tests import cast
    from tests.litters.raised import DAY, DAYS, raise_them

    call_command("load_species", verbosity=0)
    with transaction.atomic():
        heard = raise_them(cast.owner(), clock.today() - DAYS * DAY, seed=seed)
        transaction.set_rollback(True)
    print(f"\nseed {seed}")
    print("\n".join(heard.rows()))


if __name__ == "__main__":
    main()
