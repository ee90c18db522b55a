"""What every page costs in a program of ten years: `python -m benchmarks.pages 100 1000`.

For each number of animals a program of its own is written (`programs/grown.py`), and each page is
opened three times: first, when this process knows nothing; after a sighting was written, as on
any day; and again, when nothing was written since. Printed are the processor's time as a ratio to
the empty frame, so that the machine matters little; the questions; the bytes before they are
packed; and by which power of the number of animals the time grows. A page fails that costs more
than `MOST_FRAMES`, or that is larger than `MOST_BYTES`.

--keep FOLDER: programs are kept there, and taken from there the next time. --only WORD,WORD: pages
whose name holds one of them. --minutes N: of the processor, for each size; what comes after is
left out. Leave the code alone while it runs: a process reads its templates when it needs them.
RAYWARD_DATABASE: another database than one of SQLite; where PostgreSQL runs on the same Linux,
what its server spends on this process counts.
"""

import argparse
import gc
import json
import math
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from benchmarks.started import forget_everything

if TYPE_CHECKING:
    from benchmarks.programs.grown import Grown

FRAME = "finding:keys"  # a page that shows nothing of the records
MOST_FRAMES = {1_000: 15, 20_000: 40}  # up to so many animals; after a sighting
MOST_BYTES = 200_000
SIZES = (100, 1_000, 5_000, 20_000)

ROUTES = {  # every page that is read, by what it is of
    "": (
        "agenda:day agenda:own agenda:cards animals:index animals:named animals:new "
        "animals:species animals:strains arrivals:index arrivals:loans arrivals:new "
        "buyers:index buyers:waiting buyers:wishes feeding:foods feeding:index "
        "feeding:rounds finding:find finding:keys finding:labels health:index "
        "health:observe health:quarantine health:treat housing:arrange housing:changes "
        "housing:house housing:index housing:sources housing:systems housing:tanks "
        "housing:water_tests housing:waters housing:works litters:found litters:index "
        "litters:losses litters:new pairings:company pairings:index pairings:log "
        "pairings:logged pairings:new pairings:season pairings:seasonal pairings:sightings "
        "pairings:signs planning:ahead planning:index planning:litters planning:pair "
        "planning:season planning:state planning:table planning:waiting planning:what_if "
        "planning:year program:account program:care program:more program:people "
        "program:settings records:check records:chronicle "
        "records:index records:take_out sheets:index"
    ),
    "female": (
        "animals:detail animals:edit animals:family animals:measure animals:photograph "
        "animals:pictures animals:state health:keep_apart housing:move housing:stays "
        "origin:detail records:animal arrivals:lend pairings:female pairings:her_water "
        "pairings:nursery pairings:outcome pairings:scan pairings:wounds litters:birth"
    ),
    "pup": ("buyers:hand_over buyers:reserve sheets:new litters:verdict"),
    "tank": (
        "housing:change housing:course housing:detail housing:edit housing:move_all "
        "housing:rhythm housing:water_test housing:weigh feeding:tank housing:close_divider"
    ),
    "water test": ("housing:water"),
    "litter": (
        "litters:after litters:detail litters:feed litters:join litters:weigh "
        "litters:add_pup planning:litter offers:sales"
    ),
    "contact": ("buyers:detail buyers:edit buyers:wish_new arrivals:year"),
    "pairing": ("pairings:detail pairings:plan pairings:separate"),
}
NEWEST = ("pup", "water test", "litter", "pairing")  # of these the last is read, else the first


@dataclass(frozen=True)
class Cost:
    """One page: seconds of the processor at three visits, questions, bytes and how it answered."""

    first: float
    after: float
    again: float
    queries: int
    bytes: int
    status: int


def records_of(grown: "Grown") -> dict[str, list[Any]]:
    """The records whose pages are read, by what the routes are of; of a kind in their order."""
    return {
        "female": grown.females,
        "pup": grown.pups,
        "tank": grown.tanks,
        "water test": grown.water_tests,
        "litter": grown.litters,
        "contact": grown.contacts,
        "pairing": grown.pairings,
    }


def addresses(grown: "Grown") -> dict[str, str]:
    """Every page that is read, by a name; a route that shows records is added here."""
    from django.urls import reverse

    from breeding.pairings.models import SignKind

    female, male, pup = grown.females[0].pk, grown.males[0].pk, grown.pups[-1].pk
    keys: dict[str, list[int]] = {name: [] for name in ROUTES[""].split()}
    for about, records in records_of(grown).items():
        one = records[-1 if about in NEWEST else 0].pk
        keys |= {name: [one] for name in ROUTES[about].split()}
    keys["pairings:year"] = [grown.today.year - 1]
    keys["pairings:sign"] = [SignKind.objects.order_by("pk")[0].pk]
    pages = {name: reverse(name, args=parts) for name, parts in sorted(keys.items())}
    pages["finding:find"] += "?q=ray"
    pages["planning:pair"] += f"?female={female}&male={male}"
    pages["a male's page"] = reverse("animals:detail", args=[male])
    pages["a pup's page"] = reverse("animals:detail", args=[pup])
    return pages


def costs(
    client: Any,
    pages: Mapping[str, str],
    write: Callable[[], Any],
    *,
    until: float = math.inf,
    visits: int = 1,
) -> Iterator[tuple[str, Cost]]:
    """What each page costs; those that come after `until` (by `process_time`) are left out."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    for name, page in pages.items():
        if time.process_time() > until:
            break
        forget_everything()
        gc.collect()  # what a server does between pages
        first, *_ = visit(client, page)
        write()
        with CaptureQueriesContext(connection) as asked:
            after, answer = visit(client, page)
        queries = len(asked)  # the next request empties what was asked
        again = min(visit(client, page)[0] for _ in range(visits))
        size = len(answer.content)
        yield name, Cost(first, after, again, queries, size, answer.status_code)


def frame_of(client: Any) -> float:
    """Seconds of the processor for the empty frame, the least of several visits."""
    from django.urls import reverse

    return min(visit(client, reverse(FRAME))[0] for _ in range(12))


def visit(client: Any, page: str) -> tuple[float, Any]:
    begun = spent()
    answer = client.get(page)
    return spent() - begun, answer


def spent() -> float:
    """Seconds of the processor: of this process, and of the server that answers it."""
    from django.db import connection

    of_server = 0.0
    if connection.vendor == "postgresql" and connection.connection is not None:
        said = Path(f"/proc/{connection.connection.info.backend_pid}/schedstat")
        if said.exists():
            of_server = int(said.read_text().split()[0]) / 1e9
    return time.process_time() + of_server


def exponent(small: float, large: float, sizes: tuple[int, int]) -> float:
    """By which power the time grows with the number of animals.

    >>> exponent(0.1, 1.0, (100, 1000)), exponent(0.1, 0.1, (100, 1000))
    (1.0, 0.0)
    """
    return math.log(max(large, 1e-4) / max(small, 1e-4)) / math.log(sizes[1] / sizes[0])


def trouble(cost: Cost, frame: float, size: int) -> str:
    """What is wrong with a page; empty for nothing.

    >>> trouble(Cost(0.1, 0.2, 0.1, 9, 300_000, 200), 0.01, 1000)
    'too slow, too large'
    """
    most = next((most for upto, most in MOST_FRAMES.items() if size <= upto), 40)
    said = [f"answers {cost.status}"] if cost.status != 200 else []
    if cost.after > most * frame:
        said.append("too slow")
    if cost.bytes > MOST_BYTES:
        said.append("too large")
    return ", ".join(said)


def quick_client(owner: Any) -> Any:
    """Signed in; contexts of templates are not copied, as no server does."""
    import django.test.client
    from django.test import Client

    django.test.client.store_rendered_templates = lambda *a, **k: None  # type: ignore[attr-defined]
    client = Client(raise_request_exception=False)
    client.force_login(owner)
    return client


def main() -> None:
    """Each size in a process of its own; then all of it in one table."""
    asked = _arguments()
    if asked.child:
        _measure(asked.sizes[0], asked)
        return
    with tempfile.TemporaryDirectory(prefix="rayward-pages-") as passing:
        folder = asked.keep or Path(passing)
        folder.mkdir(parents=True, exist_ok=True)
        found = {size: _in_a_process(size, folder, asked) for size in asked.sizes}
    failed = _print_table(found)
    sys.exit(bool(failed))


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sizes", nargs="*", type=int, default=list(SIZES))
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--only", default="")
    parser.add_argument("--minutes", type=float, default=15)
    parser.add_argument("--child", action="store_true", help=argparse.SUPPRESS)
    return parser.parse_args()


def _in_a_process(size: int, folder: Path, asked: argparse.Namespace) -> dict[str, Any]:
    words = [str(size), "--child", "--only", asked.only, "--minutes", str(asked.minutes)]
    frame, *pages = lines_of("benchmarks.pages", program_in(folder, size), words)
    return {"frame": frame, "costs": dict(pages)}


def program_in(folder: Path, size: int) -> Path:
    """The file of the program of this size."""
    return folder / f"pages-{size}.sqlite3"


def lines_of(module: str, program: Path, words: Sequence[str]) -> list[Any]:
    """What a process of its own says of a program, a line of JSON each."""
    around = {"DJANGO_SETTINGS_MODULE": "tests.settings", "RAYWARD_TESTS_DATABASE": str(program)}
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-m", module, *words],
        env=os.environ | around,
        stdout=subprocess.PIPE,
        check=True,
    )
    return [json.loads(line) for line in done.stdout.splitlines()]


def open_program(size: int) -> "Grown":
    """The program of this process, written first where there is none."""
    import django

    django.setup()
    from django.db import connection
    from django.test.utils import setup_test_environment

    setup_test_environment()
    connection.creation.create_test_db(verbosity=0, autoclobber=True, keepdb=True)
    from benchmarks.programs.grown import on_record

    begun = time.monotonic()
    grown = on_record(size)
    print(f"{size}: written after {time.monotonic() - begun:.0f} s", file=sys.stderr)
    return grown


def _measure(size: int, asked: argparse.Namespace) -> None:
    grown = open_program(size)
    from breeding.program.serving import memory
    from tests import cast

    client = quick_client(grown.by)
    pages = {
        name: page
        for name, page in addresses(grown).items()
        if any(word in name for word in asked.only.split(","))
    }
    memory.look_through_all_by_the_minute()
    frame = frame_of(client)
    print(json.dumps(frame), flush=True)
    until = time.process_time() + asked.minutes * 60
    for name, cost in costs(client, pages, lambda: cast.see(grown.females[1]), until=until):
        print(json.dumps([name, asdict(cost)]), flush=True)


def _print_table(found: Mapping[int, Mapping[str, Any]]) -> int:
    sizes = sorted(found)
    names = sorted({name for one in found.values() for name in one["costs"]})
    print("frame: " + ", ".join(f"{n}: {found[n]['frame'] * 1000:.1f} ms" for n in sizes))
    print("per size: frames at the first visit, after a sighting, again; questions; bytes")
    print(f"{'page':22}" + "".join(f"{size:>34,}" for size in sizes) + "   grows")
    failed = 0
    for name in names:
        cells, wrong = [], []
        for size in sizes:
            held = found[size]["costs"].get(name)
            if held is None:
                cells.append(f"{'left out':>34}")
                continue
            cost, frame = Cost(**held), found[size]["frame"]
            ratios = "".join(
                f"{part / frame:7.1f}" for part in (cost.first, cost.after, cost.again)
            )
            cells.append(f"{ratios}{cost.queries:>4}{cost.bytes:>9,}")
            if said := trouble(cost, frame, size):
                wrong.append(f"{size}: {said}")
        failed += bool(wrong)
        power = _power(name, found)
        print(f"{name:22}" + "".join(f"{cell:>34}" for cell in cells) + power, *wrong, sep="  ")
    print(f"{len(names)} pages, {failed} with trouble")
    return failed


def _power(name: str, found: Mapping[int, Mapping[str, Any]]) -> str:
    known = sorted(size for size in found if name in found[size]["costs"])
    if len(known) < 2:
        return ""
    small, large = known[0], known[-1]
    seconds = [found[size]["costs"][name]["after"] for size in (small, large)]
    return f"{exponent(seconds[0], seconds[1], (small, large)):8.2f}"


if __name__ == "__main__":
    main()
