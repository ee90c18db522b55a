"""F of very many animals, before and after: `python -m benchmarks.engines [animals ...]`.

Three shapes that are hard on memory or time; each figure in a process of its own. *Processor* is
the time of all threads together, *own* that of the first thread alone, so about what passes by the
clock when the other processors are idle. *Before* is the engine chosen by a fixed limit on the half
table, on one thread. A million animals take some minutes before: `--after` leaves that out.
"""

import argparse
import multiprocessing
import time
from typing import Any, NamedTuple

import numpy as np

from benchmarks.bench import _peak_megabytes, generated_rows
from pedigree.kinship import engines
from pedigree.kinship.front import Front
from pedigree.layout import Layout
from pedigree.pedigree import Pedigree
from pedigree.rows import Floats

FIXED_LIMIT = 12_000  # animals in the half table, before

SHAPES: dict[str, dict[str, Any]] = {
    "litters with unequal sires": {"litter": 6, "sires": 0.05, "generations": 23},
    "single young": {"litter": 1, "sires": 0.05, "generations": 100},
    "every second male sires": {"litter": 1, "sires": 0.5, "generations": 100},
}


class Measured(NamedTuple):
    processor: float  # seconds of all threads
    own: float  # seconds of the first thread
    clock: float  # seconds that passed
    megabytes: float  # at most, above what the layout takes
    inbreeding: Floats


def measure(name: str, animals: int, *, before: bool) -> Measured:
    """F of all, in a process of its own."""
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        return pool.apply(_run, (name, animals, before))


def _run(name: str, animals: int, before: bool) -> Measured:
    layout = Pedigree.from_rows(generated_rows(animals, seed=1, **SHAPES[name]))._layout
    engine = _as_before(layout) if before else None
    held = _peak_megabytes(anew=True)
    begin = time.process_time(), time.thread_time(), time.perf_counter()
    found = engines.of_all(layout, engine)
    end = time.process_time(), time.thread_time(), time.perf_counter()
    processor, own, clock = (b - a for a, b in zip(begin, end, strict=True))
    return Measured(processor, own, clock, _peak_megabytes() - held, found.between)


def _as_before(layout: Layout) -> engines.Engine:
    peak = Front(layout.levels(), np.empty(0, np.int64)).peak
    return "tabular" if peak <= FIXED_LIMIT else "columns"


def compare(name: str, animals: int, *, after_only: bool) -> None:
    """One line: how long and how much memory, and how often that goes into what was before."""
    after = measure(name, animals, before=False)
    line = f"{animals:>9,}  {name:<27} {_words(after)}"
    if not after_only:
        before = measure(name, animals, before=True)
        apart = np.abs(after.inbreeding - before.inbreeding).max(initial=0)
        line += (
            f" | before {_words(before)}: {before.processor / after.processor:.1f} times the "
            f"processor, {before.clock / after.clock:.1f} times by the clock, "
            f"{before.megabytes / after.megabytes:.1f} times the memory; "
            f"at most {apart:.1e} apart"
        )
    print(line, flush=True)


def _words(one: Measured) -> str:
    return (
        f"processor {one.processor:6.2f} s, own {one.own:6.2f} s, clock {one.clock:6.2f} s, "
        f"{one.megabytes:5.0f} MB"
    )


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("animals", nargs="*", type=int, default=[100_000])
    parser.add_argument("--after", action="store_true", help="leave out what was before")
    given = parser.parse_args()
    for animals in given.animals:
        for name in SHAPES:
            compare(name, animals, after_only=given.after)


if __name__ == "__main__":
    main()
