"""Very many animals, before and after: `python -m benchmarks.engines [animals ...]`.

F of all and, when it is known, kinship of the youngest 2,000, in three shapes that are hard on
memory or time; and litters added one by one. Each figure in a process of its own. *Processor* is
the time of all threads together, in brackets as so many times the dense table for 5,000 animals in
the same run, which says more where others share the machine; *own* that of the first thread alone,
so about what passes by the clock when the other processors are idle. *Before* is, for F, the engine
chosen by a fixed limit on the half table, on one thread; for kinship the table in tiles; for
litters the columns of their parents each time. A million animals take some minutes before:
`--after` leaves that out.
"""

import argparse
import multiprocessing
import time
from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from benchmarks.bench import (
    YARDSTICK_SECONDS,
    _peak_megabytes,
    generated_rows,
    litters_one_by_one,
    yardstick,
)
from pedigree.kinship import engines
from pedigree.kinship.front import Front
from pedigree.kinship.growing import Growing
from pedigree.layout import Layout
from pedigree.pedigree import Pedigree
from pedigree.rows import Floats

FIXED_LIMIT = 12_000  # animals in the half table, before

SHAPES: dict[str, dict[str, Any]] = {
    "litters with unequal sires": {"litter": 6, "sires": 0.05, "generations": 23},
    "single young": {"litter": 1, "sires": 0.05, "generations": 100},
    "every second male sires": {"litter": 1, "sires": 0.5, "generations": 100},
}


YOUNGEST = 2_000
LITTERS = 300


class Measured(NamedTuple):
    processor: float  # seconds of all threads
    own: float  # seconds of the first thread
    clock: float  # seconds that passed
    megabytes: float  # at most, above what the layout takes
    found: Floats


def measure(what: str, name: str, animals: int, *, before: bool) -> Measured:
    """One of `WORK`, in a process of its own."""
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        return pool.apply(_run, (what, name, animals, before))


def _run(what: str, name: str, animals: int, before: bool) -> Measured:
    work = WORK[what](name, animals, before)
    held = _peak_megabytes(anew=True)
    begin = time.process_time(), time.thread_time(), time.perf_counter()
    found = work()
    end = time.process_time(), time.thread_time(), time.perf_counter()
    processor, own, clock = (b - a for a, b in zip(begin, end, strict=True))
    return Measured(processor, own, clock, _peak_megabytes() - held, found)


def _layout(name: str, animals: int) -> Layout:
    return Pedigree.from_rows(generated_rows(animals, seed=1, **SHAPES[name]))._layout


def _inbreeding(name: str, animals: int, before: bool) -> Callable[[], Floats]:
    layout = _layout(name, animals)
    engine = _as_before(layout) if before else None
    return lambda: engines.of_all(layout, engine).between


def _kinship(name: str, animals: int, before: bool) -> Callable[[], Floats]:
    layout = _layout(name, animals)
    known = engines.of_all(layout)
    nodes = np.sort(layout.node_of_row[-YOUNGEST:])
    return lambda: engines.among(layout, nodes, known, "tiles" if before else None)


def _litters(name: str, animals: int, before: bool) -> Callable[[], Floats]:
    """The shape is that of `benchmarks.bench`: here `name` says how many generations there are."""
    if before:
        Growing.between_parents = lambda *_: None  # type: ignore[method-assign]
    generations = int(name.split()[0])
    return lambda: np.array([litters_one_by_one(animals, generations, LITTERS)])


WORK = {"F of all": _inbreeding, "kinship of 2,000": _kinship, "300 litters": _litters}


def _as_before(layout: Layout) -> engines.Engine:
    peak = Front(layout.levels(), np.empty(0, np.int64)).peak
    return "tabular" if peak <= FIXED_LIMIT else "columns"


def compare(what: str, name: str, animals: int, dense: float, *, after_only: bool) -> None:
    """One line: how long and how much memory, and how often that goes into what was before."""
    after = measure(what, name, animals, before=False)
    line = f"{what:<16} {animals:>9,}  {name:<27} {_words(after, dense)}"
    if not after_only:
        before = measure(what, name, animals, before=True)
        apart = np.abs(after.found - before.found).max(initial=0)
        line += (
            f" | before {_words(before, dense)}: {before.processor / after.processor:.1f} times "
            f"the processor, {before.clock / after.clock:.1f} times by the clock; "
            f"at most {apart:.1e} apart"
        )
    print(line, flush=True)


def _words(one: Measured, dense: float) -> str:
    return (
        f"processor {one.processor:6.2f} s [{one.processor / dense:.1f}], own {one.own:6.2f} s, "
        f"clock {one.clock:6.2f} s, {one.megabytes:5.0f} MB"
    )


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("animals", nargs="*", type=int, default=[100_000])
    parser.add_argument("--after", action="store_true", help="leave out what was before")
    given = parser.parse_args()
    dense = yardstick() * YARDSTICK_SECONDS
    for generations in ("20 generations", "100 generations"):
        compare("300 litters", generations, 1_000, dense, after_only=given.after)
    for animals in given.animals:
        for what in ("F of all", "kinship of 2,000"):
            for name in SHAPES:
                compare(what, name, animals, dense, after_only=given.after)


if __name__ == "__main__":
    main()
