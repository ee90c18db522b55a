"""What acts cost in a program of ten years, and the pages after: `python -m benchmarks.acts 20000`.

The program is that of `benchmarks.pages`. Each act is sent as a browser sends it, several times, of
others each time, and what it asks is answered; then its receipt is opened, which is the page it
leads to, and the day; then it is undone. Before the first of a kind the process is as it is right
after a start. Printed is the processor's time as a ratio to the empty frame, the first and the
median of the others: of the act (the dearest of its sendings, where it asks), of its undoing, of
the receipt and of the day. An act fails that costs more than `MOST_FRAMES`.

--keep FOLDER: programs are kept there, and each run works on a copy, so that it begins with the
same rows. --only WORD,WORD: acts whose name holds one of them. --times N: of each act. --no-day:
the day is not opened. RAYWARD_DATABASE: another database than one of SQLite, which is written to.
"""

import argparse
import gc
import json
import os
import re
import sqlite3
import statistics
import sys
import tempfile
from collections.abc import Mapping, Sequence
from contextlib import closing
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from benchmarks.pages import (
    frame_of,
    lines_of,
    open_program,
    program_in,
    quick_client,
    spent,
    visit,
)
from benchmarks.sent.forms import answered, filled_in
from benchmarks.started import start_again

if TYPE_CHECKING:
    from benchmarks.sent.acts import Sent

PARTS = ("act", "undo", "receipt", "day")
MOST_FRAMES = {"act": 10.0, "undo": 10.0, "receipt": 15.0}
TIMES, MOST_SENDINGS = 5, 4
DAY = "/"


@dataclass(frozen=True)
class Cost:
    """Seconds of the processor for one act and what comes after it."""

    act: float
    undo: float
    receipt: float
    day: float = 0.0  # not opened


class RefusedError(Exception):
    """An act that should have been written was not."""


def cost_of(client: Any, by: Any, sent: "Sent", *, opens_day: bool = True) -> Cost:
    """Of one act of this person, and of its undoing."""
    seconds, receipt = _written(client, sent)
    at_receipt, _ = visit(client, receipt)
    gc.collect()  # what a server does between pages
    at_day = visit(client, DAY)[0] if opens_day else 0.0
    gc.collect()
    return Cost(seconds, _undone(client, by), at_receipt, at_day)


def _written(client: Any, sent: "Sent") -> tuple[float, str]:
    """The dearest of its sendings, and where it leads."""
    form = filled_in(client.get(sent.page).content.decode(), sent.typed)
    dearest = 0.0
    for _ in range(MOST_SENDINGS):
        if form is None:
            break
        gc.collect()
        seconds, answer = _sent(client, sent.page, form)
        dearest = max(dearest, seconds)
        gc.collect()
        if answer.status_code == 302:
            return dearest, answer.url
        form = answered(answer.content.decode(), sent.typed)
    raise RefusedError(f"{sent.page} with {sent.typed}: {_said_on(answer)}")


def _undone(client: Any, by: Any) -> float:
    from django.urls import reverse

    from breeding.program.acts.once import FIELD, new_token
    from breeding.program.models import Act

    act = Act.objects.latest("pk")
    undoing = reverse("program:undo", args=[act.pk])
    seconds, answer = _sent(client, undoing, {FIELD: new_token(by)})
    if answer.status_code != 302:
        raise RefusedError(f"undoing {act}: {_said_on(answer)}")
    return seconds


def _sent(client: Any, page: str, form: Mapping[str, Any]) -> tuple[float, Any]:
    begun = spent()
    answer = client.post(page, form)
    return spent() - begun, answer


def _said_on(answer: Any) -> str:
    """What stands on a page from where it says what is wrong."""
    page = answer.content.decode()
    words = re.sub(r"<[^>]+>", " ", page[max(0, page.find("errorlist")) :])
    return f"{answer.status_code} {' '.join(words.split())[:400]}"


def usual(costs: Sequence[Cost], part: str) -> tuple[float, float]:
    """The first, and the median of those after it.

    >>> usual([Cost(9, 1, 1), Cost(2, 1, 1), Cost(3, 1, 1), Cost(7, 1, 1)], "act")
    (9, 3)
    """
    first, *others = [getattr(one, part) for one in costs]
    return first, statistics.median(others or [first])


def trouble(costs: Sequence[Cost], frame: float) -> str:
    """What is wrong with an act; empty for nothing.

    >>> trouble([Cost(0.2, 0.05, 0.1), Cost(0.09, 0.05, 0.2)], 0.01)
    'receipt too slow'
    """
    return ", ".join(
        f"{part} too slow"
        for part, most in MOST_FRAMES.items()
        if usual(costs, part)[1] > most * frame
    )


def main() -> None:
    """Each size in a process of its own, on a copy of its program."""
    asked = _arguments()
    if asked.child:
        _measure(asked.sizes[0], asked)
        return
    with tempfile.TemporaryDirectory(prefix="rayward-acts-") as passing:
        folder = asked.keep or Path(passing)
        folder.mkdir(parents=True, exist_ok=True)
        failed = [_print_table(size, _in_a_process(size, folder, asked)) for size in asked.sizes]
    sys.exit(any(failed))


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sizes", nargs="*", type=int, default=[1_000, 20_000])
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--only", default="")
    parser.add_argument("--times", type=int, default=TIMES)
    parser.add_argument("--no-day", action="store_true")
    parser.add_argument("--child", action="store_true", help=argparse.SUPPRESS)
    return parser.parse_args()


def _in_a_process(size: int, folder: Path, asked: argparse.Namespace) -> list[Any]:
    words = [str(size), "--child", "--only", asked.only, "--times", str(asked.times)]
    words += ["--no-day"] if asked.no_day else []
    kept = program_in(folder, size)
    if "RAYWARD_DATABASE" in os.environ:
        return lines_of("benchmarks.acts", kept, words)
    if not kept.exists():
        lines_of("benchmarks.acts", kept, [str(size), "--child", "--times", "0"])
    with tempfile.TemporaryDirectory(prefix="rayward-acts-") as passing:
        copy = Path(passing) / kept.name
        with closing(sqlite3.connect(kept)) as whole, closing(sqlite3.connect(copy)) as written:
            whole.backup(written)
        return lines_of("benchmarks.acts", copy, words)


def _measure(size: int, asked: argparse.Namespace) -> None:
    grown = open_program(size)
    if not asked.times:
        return
    from benchmarks.sent.acts import ACTS, Whom
    from breeding.program.serving import memory

    client, whom = quick_client(grown.by), Whom(grown)
    memory.look_through_all_by_the_minute()
    print(json.dumps(frame_of(client)), flush=True)
    for name, make in ACTS.items():
        if not any(word in name for word in asked.only.split(",")):
            continue
        start_again()
        gc.collect()
        sent = (make(whom, n) for n in range(asked.times))
        found = [asdict(cost_of(client, grown.by, one, opens_day=not asked.no_day)) for one in sent]
        print(json.dumps([name, found]), flush=True)
        print(f"{size}: {name} written and undone", file=sys.stderr)


def _print_table(size: int, lines: Sequence[Any]) -> bool:
    """Whether an act failed."""
    frame, *acts = lines
    print(f"{size:,} animals, frame {frame * 1000:.1f} ms; frames at first, and usually")
    print(f"{'act':26}" + "".join(f"{part:>16}" for part in PARTS))
    has_failed = False
    for name, found in acts:
        costs = [Cost(**one) for one in found]
        cells = [
            "".join(f"{seconds / frame:8.1f}" for seconds in usual(costs, part)) for part in PARTS
        ]
        wrong = trouble(costs, frame)
        has_failed |= bool(wrong)
        print(f"{name:26}" + "".join(cells) + f"  {wrong}")
    return has_failed


if __name__ == "__main__":
    main()
