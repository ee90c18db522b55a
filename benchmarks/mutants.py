"""Tries the tests of one file: changes it a little, many times, and names what goes unnoticed.

    python -m benchmarks.mutants pedigree/figures/crosses.py --sample 80 --seed 1

One process imports everything, collects the tests, runs them once and remembers which test
reaches which line; then it makes a copy of itself (fork) for every change, puts the changed code
into the functions that stand there and runs the tests that reach it, up to the first that fails.
What is carried out on import (constants, defaults, fields) is tried in a copy that has imported
nothing yet and reads the changed source. The file on the disk is never touched. A change that runs
past its time counts as noticed. Changes that make no difference are named, with the reason, in
`mutating/equivalent_mutants.toml` and left out of the rate.

Without --tests those tests are run that import the file's module, or one of its names through
another module, or that are named like it; and the examples in the file itself. Needs Linux or
macOS (fork), and SQLite in memory, which is copied with the process. Threads are not copied: a
test that sets a PDF waits for ever in a copy, so give others with --tests (one test by its name
is enough: tests/origin/test_proof.py::test_...).
"""

import argparse
import contextlib
import functools
import gc
import importlib.abc
import importlib.util
import json
import math
import multiprocessing.context
import os
import random
import resource
import signal
import sys
import tempfile
import time
import tomllib
import traceback
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

import coverage
import pytest

from benchmarks.mutating.belonging_tests import ROOT, module_name, which_tests
from benchmarks.mutating.mutations import Mutant, mutants_of

EQUIVALENT = Path(__file__).parent / "mutating" / "equivalent_mutants.toml"
OURS = ("pedigree", "breeding", "tests", "benchmarks")
# Imported once, so that a copy need not; nothing that asks for Django's settings.
HEAVY = ("numpy", "scipy.optimize", "django.test", "msprime", "tskit", "typst")
NOT_TRIED, ON_IMPORT = "not tried", "on import"
SURVIVED, KILLED, TIMED_OUT, UNREACHED = "survived", "killed", "out of time", "no test comes there"
SIGNS = {SURVIVED: "s", KILLED: ".", TIMED_OUT: "t", UNREACHED: "n", ON_IMPORT: ""}


# ---- a copy of the process for every change -----------------------------------------------------


def in_a_copy(work: Callable[[], bool], log: Path, seconds: float | None = None) -> int:
    """The process id of a copy that does the work and ends with 0 if it came out true.

    The seconds are those of the processor, so that a busy machine does not count.
    """
    pid = os.fork()
    if pid:
        return pid
    code = 1
    try:
        out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
        for stream in (1, 2):
            os.dup2(out, stream)
        os.setpgid(0, 0)
        if seconds is not None:
            resource.setrlimit(resource.RLIMIT_CPU, (math.ceil(seconds), math.ceil(seconds) + 5))
        code = 0 if work() else 1
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def tried(
    works: Iterable[tuple[int, Callable[[], bool], float]], workers: int, log: Path
) -> Iterator[tuple[int, str]]:
    """Does each work in a copy; true is survived, all else is killed."""
    running: dict[int, tuple[int, float]] = {}
    ahead = iter(works)
    more = True
    while more or running:
        while more and len(running) < workers:
            if (one := next(ahead, None)) is None:
                more = False
                break
            number, work, seconds = one
            pid = in_a_copy(work, log, seconds)
            running[pid] = (number, time.monotonic() + 20 * seconds)  # it may also sleep for ever
        time.sleep(0.005)
        for pid, (number, until) in list(running.items()):
            ended, status = os.waitpid(pid, os.WNOHANG)
            late = not ended and time.monotonic() > until
            if late:
                with contextlib.suppress(ProcessLookupError):
                    os.killpg(pid, signal.SIGKILL)
                os.waitpid(pid, 0)
            if ended or late:
                del running[pid]
                late = late or os.WIFSIGNALED(status)
                yield number, TIMED_OUT if late else KILLED if status else SURVIVED


def pytest_run(tests: list[str], log: Path, *plugins: object) -> int:
    own = log.with_name(f"files-{os.getpid()}")
    options = ["--doctest-modules", "--import-mode=importlib", "-q", "-x", "-m", "not browser"]
    options += [
        "-o",
        "addopts=",
        "-o",
        "tmp_path_retention_policy=none",
        "-p",
        "no:cacheprovider",
        f"--basetemp={own}",
    ]
    return int(pytest.main([*options, *tests], plugins=list(plugins)))


# ---- changes inside functions: all is imported, collected and reached already -------------------


class Nothing:
    """Stands where the next test would: takes down all but what is for the whole run."""

    def __init__(self, session: pytest.Session) -> None:
        self.session = session

    def listchain(self) -> list[Any]:
        return [self.session]


class Warm:
    """The pytest plugin that runs the tests once, and then for every change those that reach it."""

    def __init__(self, file: Path, mutants: list[Mutant], answer: int, told: argparse.Namespace):
        self.mutants, self.answer, self.told = mutants, answer, told
        self.file = str(file)
        self.watch = coverage.Coverage(data_file=None, include=[self.file], config_file=False)
        self.tests_of_line: dict[int, set[str]] = {}
        self.failed = False
        self.seconds: dict[int, float] = {}

    def say(self, **what: Any) -> None:
        os.write(self.answer, (json.dumps(what) + "\n").encode())

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.failed = self.failed or report.failed
        if report.failed:
            print(report.nodeid, report.longreprtext, sep="\n")

    def pytest_collection(self) -> None:
        self.watch.start()
        self.watch.switch_context(ON_IMPORT)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        if session.testsfailed or not session.items:
            self.say(trouble=f"{len(session.items)} tests, {session.testsfailed} not collected")
            return True
        for number, item in enumerate(session.items):
            self.watch.switch_context(str(number))
            began = time.process_time()
            self._run(item, session)
            self.seconds[number] = time.process_time() - began
            if self.failed:
                self.say(trouble=f"{item.nodeid} fails without any change")
                return True
        self.watch.stop()
        found = self.watch.get_data().contexts_by_lineno(self.file)
        self.tests_of_line = {line: set(names) for line, names in found.items()}
        self.say(tests=len(session.items), seconds=sum(self.seconds.values()))
        self._functions = _functions_of(self.file)
        self._caches = _caches()
        gc.freeze()
        unchanged = compile(Path(self.file).read_text("utf-8"), self.file, "exec")
        work = functools.partial(self._survives, unchanged, list(self.seconds), session)
        limit = 10 + 3 * sum(self.seconds.values())
        if [end for _, end in tried([(0, work, limit)], 1, self.told.log)] != [SURVIVED]:
            self.say(trouble="The tests fail or wait a second time, in a copy, without any change")
            return True
        for number, end in tried(self._works(session), self.told.workers, self.told.log):
            self.say(number=number, end=end)
        return True

    def _run(self, item: pytest.Item, session: pytest.Session, then: Any = None) -> None:
        example = getattr(item, "dtest", None)  # forgets its names when it has run
        names = dict(example.globs) if example else {}
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=then or Nothing(session))
        if example:
            example.globs = names

    def _works(self, session: pytest.Session) -> Iterator[tuple[int, Callable[[], bool], float]]:
        for number, mutant in enumerate(self.mutants):
            there = set().union(*(self.tests_of_line.get(line, ()) for line in mutant.lines))
            tests = [n for n in self.seconds if str(n) in there]
            if (
                not mutant.in_function
                or (ON_IMPORT in there and not tests)
                or (tests and not _can_be_put_into(self._functions, mutant.code))
            ):
                self.say(number=number, end=ON_IMPORT)
            elif not tests:
                self.say(number=number, end=UNREACHED)
            else:
                tests = self._quickest_first(tests, session)
                needs = sum(self.seconds[n] for n in tests)
                work = functools.partial(self._survives, mutant.code, tests, session)
                yield number, work, 10 + 5 * needs

    def _quickest_first(self, tests: list[int], session: pytest.Session) -> list[int]:
        """Files one after another, for the sake of what is set up once for a file."""
        of_file: dict[Path, float] = defaultdict(float)
        for n in tests:
            of_file[session.items[n].path] += self.seconds[n]
        return sorted(tests, key=lambda n: (of_file[session.items[n].path], self.seconds[n]))

    def _survives(self, code: CodeType, tests: list[int], session: pytest.Session) -> bool:
        _put_into(self._functions, code)
        for cache in self._caches:
            cache.cache_clear()
        items = [session.items[n] for n in tests]
        for item, then in zip(items, [*items[1:], None], strict=True):
            self._run(item, session, then)
            if self.failed:
                return False
        return True


def _functions_of(file: str) -> list[FunctionType]:
    return [
        one
        for one in gc.get_objects()
        if isinstance(one, FunctionType) and one.__code__.co_filename == file
    ]


def _caches() -> list[Any]:
    kind = type(functools.cache(len))
    return [
        one
        for one in gc.get_objects()
        if isinstance(one, kind) and str(one.__module__).split(".")[0] in OURS
    ]


def _put_into(functions: list[FunctionType], code: CodeType) -> None:
    """The functions keep their identity, whoever imported them, and get the changed code."""
    changed = {(one.co_qualname, one.co_firstlineno): one for one in _codes(code)}
    for function in functions:
        old = function.__code__
        new = changed.get((old.co_qualname, old.co_firstlineno))
        if new is not None and new.co_freevars == old.co_freevars:
            function.__code__ = new


def _can_be_put_into(functions: list[FunctionType], code: CodeType) -> bool:
    """No function lost or gained a name it takes from around it, as with the last `super()`."""
    changed = {(one.co_qualname, one.co_firstlineno): one.co_freevars for one in _codes(code)}
    olds = [one.__code__ for one in functions]
    return all(
        changed.get((old.co_qualname, old.co_firstlineno), old.co_freevars) == old.co_freevars
        for old in olds
    )


def _codes(code: CodeType) -> Iterator[CodeType]:
    for one in code.co_consts:
        if isinstance(one, CodeType):
            yield one
            yield from _codes(one)


# ---- changes carried out on import: a copy that has imported nothing of ours --------------------


class Changed(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives the changed code to whoever imports the module."""

    def __init__(self, file: Path, code: CodeType) -> None:
        self.name, self.file, self.code = module_name(file), file, code

    def pytest_configure(self) -> None:
        """Before pytest's own, which would read a file named on the command line by itself."""
        sys.meta_path.insert(0, self)

    def find_spec(self, name: str, *_: Any) -> Any:
        if name != self.name:
            return None
        return importlib.util.spec_from_file_location(name, self.file, loader=self)

    def exec_module(self, module: Any) -> None:
        exec(self.code, module.__dict__)  # noqa: S102 - our own source

    def get_source(self, _: str) -> str:
        return self.file.read_text("utf-8")


def survives_import(file: Path, mutant: Mutant, tests: list[str], log: Path) -> bool:
    changed = Changed(file, mutant.code)
    sys.meta_path.insert(0, changed)  # for what is imported before there is a configuration
    return pytest_run(tests, log, changed) == 0


# ---- all of it ----------------------------------------------------------------------------------


def ends_of(
    file: Path, mutants: list[Mutant], tests: list[str], told: argparse.Namespace
) -> list[str]:
    """How each change ended, in the order given."""
    reading, answer = os.pipe()
    pid = in_a_copy(
        lambda: pytest_run(tests, told.log, Warm(file, mutants, answer, told)) == 0, told.log
    )
    os.close(answer)
    ends = [NOT_TRIED] * len(mutants)
    seconds = 0.0
    with os.fdopen(reading) as lines:
        for line in lines:
            said = json.loads(line)
            if "trouble" in said:
                sys.exit(f"{said['trouble']}; see {told.log}")
            if "number" in said:
                ends[said["number"]] = said["end"]
                print(SIGNS[said["end"]], end="", flush=True)
            else:
                seconds = said["seconds"]
                print(f"{said['tests']} tests in {seconds:.1f} s", flush=True)
    os.waitpid(pid, 0)
    if NOT_TRIED in ends:
        sys.exit(f"The tests did not come to an end; see {told.log}")
    again = [number for number, end in enumerate(ends) if end == ON_IMPORT]
    works = (
        (n, functools.partial(survives_import, file, mutants[n], tests, told.log), 60 + 5 * seconds)
        for n in again
    )
    for number, end in tried(works, told.workers, told.log):
        ends[number] = end
        print(SIGNS[end], end="", flush=True)
    return ends


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("file", type=Path)
    parser.add_argument("--tests", nargs="+", default=[], help="instead of those found")
    parser.add_argument("--sample", type=int, help="so many changes, drawn by chance")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--only", help="changes whose line or words hold this text")
    told = parser.parse_args()
    file = told.file.resolve()
    told.log = Path(tempfile.mkdtemp(prefix="mutants-")) / "pytest.log"
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # What the program starts afresh would read the file on the disk; a copy has the change.
    kinds: dict[str, Any] = multiprocessing.context._concrete_contexts  # type: ignore[attr-defined]
    kinds["spawn"] = kinds["fork"]
    for name in HEAVY:
        with contextlib.suppress(ImportError):
            importlib.import_module(name)

    mutants = mutants_of(file.read_text("utf-8"), str(file))
    among = len(mutants)
    if told.sample and told.sample < among:
        drawn = random.Random(told.seed).sample(range(among), told.sample)  # noqa: S311
        mutants = [mutants[n] for n in sorted(drawn)]
    if told.only:
        mutants = [one for one in mutants if told.only in one.key]
    tests = told.tests or [str(one.relative_to(ROOT)) for one in which_tests(file)]
    here = str(file.relative_to(ROOT))
    print(f"{here}: {len(mutants)} of {among} changes, seed {told.seed}\n{' '.join(tests)}")
    ends = ends_of(file, mutants, [*tests, here], told)
    report(here, mutants, ends)


def report(here: str, mutants: list[Mutant], ends: list[str]) -> None:
    named = tomllib.loads(EQUIVALENT.read_text("utf-8")).get(here, {})
    left = [
        (mutant, end)
        for mutant, end in zip(mutants, ends, strict=True)
        if end in (SURVIVED, UNREACHED)
    ]
    print()
    for mutant, end in left:
        if mutant.key not in named:
            print(f"{mutant.lines.start:5}  {mutant.text}\n       {mutant.change}   ({end})")
    same = [mutant for mutant, _ in left if mutant.key in named]
    for one in same:
        print(f"{one.lines.start:5}  {one.text}\n       {one.change}   (same: {named[one.key]})")
    for one in mutants:
        if one.key in named and one not in same:
            print(f"named as making no difference, and noticed: {one.key}")
    killed = len(mutants) - len(left)
    counted = max(len(mutants) - len(same), 1)
    late = ends.count(TIMED_OUT)
    print(
        f"{killed} of {counted} noticed, {killed / counted:.0%} ({late} ran out of time); "
        f"{len(same)} more make no difference"
    )


if __name__ == "__main__":
    main()
