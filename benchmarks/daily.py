"""What pages cost with ten years of daily rows, beside one year: `python -m benchmarks.daily`.

10,000 measurements, 20,000 feedings and 20,000 water tests, and a tenth of each, in a database of
their own. Printed for every page that shows them: how many queries, how long, and the ratio of the
two, each in a server that has just been started and has served no page yet; and how many queries
the visit after that asks. A page fails with 20 queries or more, with another number of queries for
ten times the rows, or when it takes more than TOLERANCE times the work (and more than a few
milliseconds more).
"""

import argparse
import os
import sys
import tempfile
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from benchmarks.started import start_again

if TYPE_CHECKING:
    from benchmarks.programs.daily import House

MOST_QUERIES = 19
TOLERANCE = 1.3  # of the work with a tenth
NOISE_SECONDS = 0.03
VISITS = 2


@dataclass(frozen=True)
class Cost:
    """One page: its queries, and the least work of the processor in several visits.

    The database is in the same process, so its work is in it; what others do meanwhile is not.
    """

    queries: int
    seconds: float
    status: int = 200
    again: int = 0  # queries of the visit after it, when nothing was written since


def addresses(house: "House") -> dict[str, str]:
    """Every page that shows daily rows or asks for them, by its route."""
    from django.urls import reverse

    grown, pup, tank = house.grown[0].pk, house.pups[0].pk, house.tanks[-1].pk
    litter, fed = house.litters[0].pk, house.latest_feeding().pk
    routes: dict[str, list[Any]] = {
        "agenda:day": [],
        "agenda:own": [],
        "animals:index": [],
        "animals:detail": [pup],
        "animals:measure": [grown],
        "animals:state": [grown],
        "litters:index": [],
        "litters:new": [],
        "litters:found": [],
        "litters:detail": [litter],
        "litters:weigh": [litter],
        "litters:feed": [litter],
        "litters:add_pup": [litter],
        "litters:losses": [],
        "litters:verdict": [pup],
        "housing:index": [],
        "housing:house": [],
        "housing:tanks": [],
        "housing:detail": [tank],
        "housing:weigh": [tank],
        "housing:course": [tank],
        "housing:change": [tank],
        "housing:work": [tank],
        "housing:move": [grown],
        "housing:stays": [grown],
        "housing:water_tests": [],
        "housing:water_test": [tank],
        "housing:waters": [],
        "housing:changes": [],
        "housing:works": [],
        "feeding:index": [],
        "feeding:rounds": [],
        "feeding:detail": [fed],
        "feeding:tank": [tank],
        "feeding:some_animals": [],
        "feeding:foods": [],
        "health:index": [],
        "health:observe": [],
        "health:treat": [],
        "health:visit": [],
        "health:quarantine": [],
        "health:keep_apart": [grown],
        "health:death": [grown],
        "planning:year": [],
        "planning:litters": [],
        "planning:litter": [litter],
        "arrivals:index": [],
        "arrivals:loans": [],
        "arrivals:lend": [grown],
        "buyers:hand_over": [pup],
        "records:chronicle": [],
        "records:animal": [pup],
    }
    pages = {route: reverse(route, args=keys) for route, keys in routes.items()}
    pages["feeding:some_animals"] += f"?animal={grown}"
    return pages


def cost_of(client: Any, address: str, visits: int = VISITS) -> Cost:
    """Of visits to a process that has just been started, and of one right after them."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    best, queries, status = float("inf"), 0, 200
    for _ in range(visits):
        start_again()
        begun = time.process_time()
        with CaptureQueriesContext(connection) as asked:
            answer = client.get(address)
        best = min(best, time.process_time() - begun)
        queries, status = len(asked), answer.status_code
    with CaptureQueriesContext(connection) as asked:
        client.get(address)
    return Cost(queries, best, status, len(asked))


def trouble(tenth: Cost, full: Cost) -> str:
    """What is wrong with a page; empty for nothing.

    >>> trouble(Cost(12, 0.10), Cost(12, 0.11)), trouble(Cost(12, 0.1), Cost(22, 0.9))
    ('', 'queries grow, too many queries, slower')
    """
    said = [f"answers {full.status}"] if full.status != 200 else []
    if full.queries > tenth.queries:
        said.append("queries grow")
    if full.queries > MOST_QUERIES:
        said.append("too many queries")
    if full.seconds > tenth.seconds * TOLERANCE and full.seconds - tenth.seconds > NOISE_SECONDS:
        said.append("slower")
    return ", ".join(said)


def main() -> None:
    """Fill a program of its own, visit, fill the other nine years, visit again."""
    argparse.ArgumentParser(description=__doc__).parse_args()
    with tempfile.TemporaryDirectory(prefix="rayward-daily-") as home:
        os.environ["RAYWARD_HOME"] = home
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        import django

        django.setup()
        from django.db import connection
        from django.test.utils import setup_test_environment

        setup_test_environment()
        connection.creation.create_test_db(verbosity=0)
        _run()


def _run() -> None:
    from django.core.management import call_command
    from django.test import Client

    from benchmarks.programs.daily import build_house, write_years
    from breeding.program import clock
    from tests import cast

    call_command("load_species", verbosity=0)
    owner = cast.owner()
    client = Client(raise_request_exception=False)
    client.force_login(owner)
    house = build_house(owner, clock.today())
    pages = addresses(house)
    write_years(house, 0, 1)
    tenth = {name: cost_of(client, page) for name, page in pages.items()}
    write_years(house, 1, 10)
    full = {name: cost_of(client, page) for name, page in pages.items()}
    print(f"{'page':24}{'queries':>10}{'1 year':>10}{'10 years':>10}{'ratio':>8}")
    failed = 0
    for name, page in full.items():
        before = tenth[name]
        wrong = trouble(before, page)
        failed += bool(wrong)
        queries = f"{before.queries} {page.queries} {page.again}"
        ratio = page.seconds / before.seconds
        print(
            f"{name:24}{queries:>10}{before.seconds * 1000:>7.0f} ms{page.seconds * 1000:>7.0f} ms"
            f"{ratio:>8.2f}  {wrong}"
        )
    print(f"{len(full)} pages, {failed} with trouble")
    sys.exit(bool(failed))


if __name__ == "__main__":
    main()
