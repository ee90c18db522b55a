"""Speed and memory on generated pedigrees: `python -m benchmarks.bench [animals ...]`.

Three shapes of pedigree; beside ours the two things one would otherwise write, the dense table and
a memoised recursion, each in a process of its own. A million animals take some minutes.
"""

import argparse
import json
import math
import multiprocessing
import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from pedigree.explain.paths import explain
from pedigree.figures.diversity import LivingKinship
from pedigree.kinship import engines
from pedigree.pedigree import Pedigree
from pedigree.rows import Floats, Ints
from pedigree.traits.chances import genotype_chances

YARDSTICK_SECONDS = 0.080  # of the dense table for 5,000 on the machine the aims are given for

Rows = list[tuple[int, int | None, int | None]]


class Shape(NamedTuple):
    """How the generated animals breed."""

    name: str
    litter: int
    sires: float  # part of the males that ever breed


SHAPES = (
    Shape("single young, 1 male in 20", 1, 0.05),
    Shape("litters of 6, 1 male in 20", 6, 0.05),
    Shape("single young, every 2nd male", 1, 0.5),
)


def generated_rows(
    animals: int, *, litter: int = 1, sires: float = 0.05, generations: int = 100, seed: int
) -> Rows:
    """Overlapping generations: parents from the last three, a part of each sex, unequally often.

    One female in three ever breeds. The same seed gives the same rows.

    >>> generated_rows(4, generations=2, seed=1)[-1]
    (3, 1, 0)
    """
    chance = np.random.default_rng(seed)
    each = max(animals // generations, 2)
    sire, dam = np.full(animals, -1), np.full(animals, -1)
    males: list[tuple[Ints, Floats]] = []
    females: list[tuple[Ints, Floats]] = []
    for begin in range(0, animals, each):
        end = min(begin + each, animals)
        if begin:
            litters = -(-(end - begin) // litter)
            for column, pool in ((sire, males[-3:]), (dam, females[-3:])):
                breeders = np.concatenate([one for one, _ in pool])
                weight = np.concatenate([one for _, one in pool])
                chosen = chance.choice(breeders, litters, p=weight / weight.sum())
                column[begin:end] = np.repeat(chosen, litter)[: end - begin]
        is_male = np.arange(end - begin) % 2 == 1
        for pool, sex, part in ((males, is_male, sires), (females, ~is_male, 1 / 3)):
            young = np.arange(begin, end)[sex]
            if len(young):
                breeders = chance.permutation(young)[: max(1, round(part * len(young)))]
                pool.append((breeders, chance.exponential(size=len(breeders)) + 0.05))
    known = ([None if one < 0 else one for one in column.tolist()] for column in (sire, dam))
    return list(zip(range(animals), *known, strict=True))


def closed_line(generations: int, males: int, females: int, *, seed: int) -> list[Any]:
    """A line kept apart: every generation the same number of males and females."""
    chance = random.Random(seed)  # noqa: S311 - a benchmark, no secret
    sexes = [f"m{n}" for n in range(males)] + [f"f{n}" for n in range(females)]
    rows: list[Any] = [((0, sex), None, None) for sex in sexes]
    for g in range(1, generations):
        for sex in sexes:
            sire, dam = f"m{chance.randrange(males)}", f"f{chance.randrange(females)}"
            rows.append(((g, sex), (g - 1, sire), (g - 1, dam)))
    return rows


# ------------------------------------------------------------- what a user would otherwise write


def dense_table(rows: Rows) -> Floats:
    """F by the tabular method over all animals at once, in numpy; ids are row numbers."""
    size = len(rows)
    table = np.zeros((size + 1, size + 1))
    for animal, sire, dam in rows:
        one, other = size if sire is None else sire, size if dam is None else dam
        row = table[one, :animal] + table[other, :animal]
        row *= 0.5
        table[animal, :animal] = row
        table[:animal, animal] = row
        table[animal, animal] = (1 + table[one, other]) / 2
    return np.array([0.0 if None in row else table[row[1], row[2]] for row in rows])


def memoised_recursion(rows: Rows) -> Floats:
    """F by replacing the younger of each pair by its parents, with every pair remembered."""
    sires = [row[1] for row in rows]
    dams = [row[2] for row in rows]
    known: dict[tuple[int, int], float] = {}

    def between(a: int | None, b: int | None) -> float:
        if a is None or b is None:
            return 0.0
        if a < b:
            a, b = b, a
        found = known.get((a, b))
        if found is None:
            if a == b:
                found = (1 + between(sires[a], dams[a])) / 2
            else:
                found = (between(sires[a], b) + between(dams[a], b)) / 2
            known[a, b] = found
        return found

    limit = sys.getrecursionlimit()
    sys.setrecursionlimit(100_000)
    try:
        return np.array([between(sire, dam) for _, sire, dam in rows])
    finally:
        sys.setrecursionlimit(limit)


# ----------------------------------------------------------------------------------- measuring


class Measured(NamedTuple):
    seconds: float  # of the processor, so that a busy machine disturbs less
    megabytes: float  # at most, above what the rows took
    reading: float  # seconds for Pedigree.from_rows


def measure(method: str, shape: Shape, animals: int, repeats: int = 1) -> Measured:
    """In a process of its own; the quickest of `repeats`."""
    context = multiprocessing.get_context("spawn")
    with context.Pool(1) as pool:
        return pool.apply(_run, (method, shape, animals, repeats))


def _run(method: str, shape: Shape, animals: int, repeats: int) -> Measured:
    rows = generated_rows(animals, litter=shape.litter, sires=shape.sires, seed=1)
    before = _peak_megabytes(anew=True)
    begin = time.process_time()
    layout = Pedigree.from_rows(rows)._layout if method == "pedigree" else None
    reading = time.process_time() - begin
    times = []
    for _ in range(repeats):
        begin = time.process_time()
        if layout is not None:
            engines.of_all(layout)
        elif method == "dense":
            dense_table(rows)
        else:
            memoised_recursion(rows)
        times.append(time.process_time() - begin)
    return Measured(min(times), _peak_megabytes() - before, reading)


def _peak_megabytes(*, anew: bool = False) -> float:
    """Most memory this process has held, from now on if `anew`; nan where the system hides it."""
    try:
        if anew:
            Path("/proc/self/clear_refs").write_text("5")
        status = Path("/proc/self/status").read_text()
    except OSError:
        return math.nan
    return float(status.split("VmHWM:")[1].split()[0]) / 1024


def _per_call(call: Callable[[], Any], times: int = 200) -> float:
    """Processor seconds of a call, the quickest of some tens."""
    found = []
    for _ in range(20):
        begin = time.process_time()
        for _ in range(times):
            call()
        found.append((time.process_time() - begin) / times)
    return min(found)


def yardstick() -> float:
    """How many times as long as on the machine the aims are given for the dense table takes."""
    times = measure("dense", SHAPES[0], 5_000, 3).seconds / YARDSTICK_SECONDS
    print(f"The dense table for 5,000 takes {times:.1f} times as long as where the aims were set;")
    print("seconds in [] are divided by that. Memory is what is held at most above the rows.")
    return times


def compare(animals: int, methods: tuple[str, ...], slower: float) -> None:
    """F of all animals, the three shapes, side by side with other methods."""
    for shape in SHAPES:
        ours = measure("pedigree", shape, animals, 5 if animals <= 100_000 else 1)
        line = (
            f"{animals:>9,}  {shape.name:<29} F of all {ours.seconds:8.4f} s "
            f"[{ours.seconds / slower:.4f}] {ours.megabytes:5.0f} MB (reading rows "
            f"{ours.reading:.2f} s)"
        )
        for method in methods:
            other = measure(method, shape, animals, 2 if animals <= 10_000 else 1)
            line += (
                f" | {method} {other.seconds:.3f} s {other.megabytes:.0f} MB: "
                f"{other.seconds / ours.seconds:.1f} times as long, "
                f"{other.megabytes / ours.megabytes:.1f} times the memory"
            )
        print(line, flush=True)


def growth() -> None:
    """The exponent of the number of animals in the time for F of all."""
    sizes = (25_000, 50_000, 100_000, 200_000)
    for shape in SHAPES:
        times = [measure("pedigree", shape, size, 2).seconds for size in sizes]
        slope = np.polyfit(np.log(sizes), np.log(times), 1)[0]
        print(
            f"growth of F, {shape.name}: n^{slope:.2f} from {sizes[0]:,} to {sizes[-1]:,}",
            flush=True,
        )


def single_figures(slower: float) -> None:
    """A closed line, an explanation, the what-if of a litter, a fresh process."""
    line = Pedigree.from_rows(closed_line(200, 6, 12, seed=1))
    seconds = _per_call(lambda: engines.of_all(line._layout), 1)
    print(f"closed line, 200 x 18: {seconds * 1e3:.1f} ms [{seconds / slower * 1e3:.1f}]")
    ped = Pedigree.from_rows(closed_line(20, 6, 12, seed=1))
    ends = (19, "m0"), (19, "f0")
    paths = explain(ped, *ends).path_count
    seconds = _per_call(lambda: explain(ped, *ends), 1)
    print(
        f"explain, 20 generations of 6 + 12, {paths:.1e} paths: {seconds * 1e3:.1f} ms "
        f"[{seconds / slower * 1e3:.1f}]"
    )
    rows = generated_rows(20_000, seed=1)
    big = Pedigree.from_rows(rows)
    living = LivingKinship.of(big, range(18_000, 20_000))
    seconds = _per_call(lambda: living.after_litter(18_001, 19_000, 6))
    print(
        f"what-if of a litter at 2,000 living: {seconds * 1e6:.1f} microseconds "
        f"[{seconds / slower * 1e6:.1f}]"
    )
    grown = living
    begin = time.process_time()
    for n in range(200):
        grown = grown.with_litter([f"p{n}"], 18_001, 19_000)
    seconds = (time.process_time() - begin) / 200
    print(f"adding one at 2,000 living: {seconds * 1e3:.3f} ms [{seconds / slower * 1e3:.3f}]")
    for generations in (20, 100):
        seconds = _per_call(lambda back=generations: litters_one_by_one(1_000, back), 1)  # type: ignore[misc]
        print(
            f"300 litters of 6 added one by one to 1,000 of {generations} generations, F of each: "
            f"{seconds:.3f} s [{seconds / slower:.3f}]"
        )
    seconds = fresh_process()
    print(
        f"fresh process, 500 animals, F and kinship: {seconds:.2f} s by the clock "
        f"[{seconds / slower:.2f}]",
        flush=True,
    )


def litters_one_by_one(animals: int, generations: int, litters: int = 300) -> float:
    """F of the last young, when F is asked after every litter that is added."""
    ped = Pedigree.from_rows(generated_rows(animals, generations=generations, seed=1))
    ped.inbreeding()
    dams, sires = (range(animals - animals // 5 + odd, animals, 2) for odd in (0, 1))
    for litter in range(litters):
        parents = sires[litter % len(sires)], dams[litter * 7 % len(dams)]
        ped = ped.with_rows([(f"{litter}-{young}", *parents) for young in range(6)])
        ped.inbreeding()
    return float(ped.inbreeding()[-1])


def chances_of_genotypes(slower: float) -> None:
    """Of 1,000 animals in litters of six, when a recessive trait was looked for on some or all."""
    rows = generated_rows(1_000, litter=6, generations=20, seed=1)
    chance = np.random.default_rng(1)
    copies: dict[int, int] = {}
    for animal, *parents in rows:
        handed = [0.2 if one is None else copies[one] / 2 for one in parents]
        copies[animal] = sum(bool(chance.random() < part) for part in handed)
    ped = Pedigree.from_rows(rows)
    for part in (0.02, 0.3, 1.0):
        seen = {
            one: (0, 0, 1) if copies[one] == 2 else (1, 1, 0)
            for one in copies
            if chance.random() < part
        }
        begin = time.process_time()
        genotype_chances(ped, seen, frequency=0.2)
        seconds = time.process_time() - begin
        print(
            f"chances of genotypes of 1,000, {len(seen)} looked at: {seconds:.3f} s "
            f"[{seconds / slower:.3f}]",
            flush=True,
        )


FRESH = """
import json, sys
from pedigree import Pedigree
pedigree = Pedigree.from_rows(json.load(sys.stdin))
pedigree.inbreeding()
pedigree.kinship(498, 499)
"""


def fresh_process() -> float:
    """Seconds by the clock from nothing, the quickest; compiled files are there from the first."""
    rows = json.dumps(generated_rows(500, seed=1))
    found = []
    with tempfile.TemporaryDirectory() as compiled:
        environment = {**os.environ, "PYTHONPYCACHEPREFIX": compiled, "PYTHONDONTWRITEBYTECODE": ""}
        for _ in range(8):
            begin = time.perf_counter()
            subprocess.run(  # noqa: S603
                [sys.executable, "-c", FRESH], input=rows, text=True, check=True, env=environment
            )
            found.append(time.perf_counter() - begin)
    return min(found)


def kinship_of_candidates(animals: int, slower: float) -> None:
    """Of the youngest 200 and 2,000 animals, when F is known."""
    for shape in SHAPES:
        rows = generated_rows(animals, litter=shape.litter, sires=shape.sires, seed=1)
        ped = Pedigree.from_rows(rows)
        ped.inbreeding()
        for count in (200, 2_000):
            before, begin = _peak_megabytes(anew=True), time.process_time()
            ped.kinship_matrix(range(animals - count, animals))
            seconds = time.process_time() - begin
            print(
                f"kinship of {count:,} in {animals:,}, {shape.name}: {seconds:.2f} s "
                f"[{seconds / slower:.2f}] {_peak_megabytes() - before:.0f} MB",
                flush=True,
            )


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("animals", nargs="*", type=int, default=[5_000, 100_000])
    sizes = parser.parse_args().animals
    print("Processor seconds, the quickest of a few.")
    slower = yardstick()
    single_figures(slower)
    chances_of_genotypes(slower)
    for animals in sizes:
        methods = ("dense", "recursion") if animals <= 10_000 else ("recursion",)
        compare(animals, methods if animals <= 100_000 else (), slower)
    if max(sizes) >= 100_000:
        growth()
    if max(sizes) > 10_000:
        kinship_of_candidates(max(sizes), slower)


if __name__ == "__main__":
    main()
