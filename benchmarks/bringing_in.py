"""How fast tables come in: `python -m benchmarks.bringing_in [ROWS] [--animals N] [--only WORD]`.

A program of so many animals is written (`programs/grown.py`), and of each kind of row a table that
goes with it (`tables/rows.py`). Each is looked through, as the page before writing does, and
written by the act of the page, with every check and its history, and undone as a whole, as the page
after writing does; then all of it is rolled back.
The yardstick is the same machine's: the same rows written once more by plain `bulk_create`,
without a check and without history. Printed for each: rows a second looked through, written and
undone, how many times as long as the yardstick the first two took, and by how much the peak of
memory rose.
The last table holds rows that cannot be, and is only looked through. Of kinds of which
each row writes many records fewer rows are measured (`FEWER`).

Measured is the processor's time of this process; with a server of a database beside it, the
clock's. --profile FILE: where the time of the last kind goes. RAYWARD_DATABASE: another database
than one of SQLite.
"""

import argparse
import cProfile
import os
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from benchmarks.tables.kinds import FEWER, STATES, TABLES

if TYPE_CHECKING:
    from benchmarks.programs.grown import Grown

ROWS, ANIMALS = 5_000, 1_000
WEEKS, SIGNS = 52, 10  # of daily rows that are on record already
AT_ONCE = 2_000


@dataclass(frozen=True)
class Speed:
    """One table: seconds for all of its rows, and by how many MB the peak of memory rose."""

    rows: int
    looked: float
    written: float
    undone: float
    plain: float
    peak: float

    @property
    def line(self) -> str:
        """Rows a second and times the yardstick; empty where nothing was written."""
        rates = [
            f"{self.rows / one:,.0f}" if one else ""
            for one in (self.looked, self.written, self.undone)
        ]
        times = [
            f"{one / self.plain:.1f}" if one and self.plain else ""
            for one in (self.looked, self.written)
        ]
        return "".join(f"{one:>11}" for one in (*rates, *times, f"{self.peak:,.0f}"))


def speed_of(name: str, grown: "Grown", rows: int) -> Speed:
    """A table looked through and written; nothing stays written."""
    from django.db import transaction
    from django.utils import timezone

    from breeding.program.acts.undoing import undo
    from breeding.program.frame.memory import for_one_request
    from breeding.program.queries import the_program
    from breeding.records import queries, services

    kind, table, models = TABLES[name]
    now = timezone.now()
    given: dict[str, Any] = {"program": the_program(), "now": now, "today": grown.today}
    with _rolled_back():
        text, before = table(grown, rows), _peak()
        draft = services.keep_draft(
            by=grown.by,
            file_name="table.csv",
            text=text,
            kind=kind,
            usual_state=STATES.get(name, "here"),
        )
        with for_one_request(only_reads=True):
            looked, trial = _timed(lambda: queries.looked(draft, **given))
        if not models:
            return Speed(rows, looked, 0.0, 0.0, 0.0, _peak() - before)
        if trial.problems:
            raise SystemExit(f"{name}: {trial.problems[0].where}: {trial.problems[0].message}")
        sure = trial.marks.split()
        print(f"{name}: {len(trial.doubts)} doubts", file=sys.stderr)
        del trial
        point, newest = transaction.savepoint(), _newest(models)
        with for_one_request(), _an_act(grown, now, "1.bringing-in") as act:
            written, _ = _timed(
                lambda: services.write_draft(draft, by=grown.by, sure=sure, **given)
            )
        peak, new = _peak() - before, _written_since(models, newest)
        with for_one_request(), _an_act(grown, now, "1.taken-back"):
            undone, _ = _timed(lambda: undo(act, by=grown.by, now=now))
        transaction.savepoint_rollback(point)
        plain, _ = _timed(lambda: _save(new))
    return Speed(rows, looked, written, undone, plain, peak)


def _model(label: str) -> Any:
    from django.apps import apps

    return apps.get_model(label)


def _newest(labels: Sequence[str]) -> list[int]:
    found = (_model(one)._base_manager.order_by("-pk").first() for one in labels)
    return [one.pk if one else 0 for one in found]


def _written_since(labels: Sequence[str], newest: Sequence[int]) -> list[list[Any]]:
    """Without what took the place of rows before it, which stand again once it is rolled back."""
    return [
        [
            row
            for row in _model(one)._base_manager.filter(pk__gt=key).order_by("pk")
            if row._meta.label != "housing.Stay" or row.until is not None
        ]
        for one, key in zip(labels, newest, strict=True)
    ]


def _save(of_models: Sequence[list[Any]]) -> None:
    for rows in filter(None, of_models):
        type(rows[0])._base_manager.bulk_create(rows, batch_size=AT_ONCE)


@contextmanager
def _an_act(grown: "Grown", now: Any, key: str) -> Iterator[Any]:
    """As a page writes: under the key of an act, by somebody who is signed in."""
    from auditlog.context import set_actor

    from breeding.program.acts.once import belonging_to
    from breeding.program.models import Act

    act = Act.objects.create(key=key, person=grown.by, at=now, door="/")
    with set_actor(grown.by), belonging_to(act):
        yield act


@contextmanager
def _rolled_back() -> Iterator[None]:
    from django.db import transaction

    from benchmarks.started import forget_everything

    forget_everything()
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def _count_on() -> None:
    """The next keys follow those of the rows that were written with theirs."""
    from django.apps import apps
    from django.core.management.color import no_style
    from django.db import connection

    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), apps.get_models()):
            cursor.execute(statement)


def _timed(act: Callable[[], Any]) -> tuple[float, Any]:
    from django.db import connection

    clock = time.process_time if connection.vendor == "sqlite" else time.perf_counter
    begun = clock()
    done = act()
    return clock() - begun, done


def _peak() -> float:
    """The most memory this process has held so far, in MB."""
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1024**2 if sys.platform == "darwin" else 1024)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("rows", nargs="?", type=int, default=ROWS)
    parser.add_argument("--animals", type=int, default=ANIMALS)
    parser.add_argument("--only", default="")
    parser.add_argument("--profile", type=Path)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="rayward-bringing-in-") as folder:
        os.environ.setdefault("RAYWARD_TESTS_DATABASE", str(Path(folder) / "rows.sqlite3"))
        _measure(asked)


def _measure(asked: argparse.Namespace) -> None:
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connection

    connection.creation.create_test_db(verbosity=0, autoclobber=True)
    from benchmarks.programs.grown import fill
    from breeding.program import clock
    from breeding.program.serving.memory import look_through_all_by_the_minute
    from tests import cast

    call_command("load_species", verbosity=0)
    grown = fill(cast.owner(), clock.today(), asked.animals, weeks=WEEKS, signs=SIGNS)
    _count_on()
    grown.tanks[0].get_absolute_url()  # a server has long read where its pages are
    look_through_all_by_the_minute()  # and looks for garbage as it does
    print(f"{asked.rows:,} rows into {asked.animals:,} animals, {connection.vendor}")
    heads = ("rows/s look", "written", "undone", "times look", "written", "peak MB")
    print(f"{'':26}" + "".join(f"{head:>11}" for head in heads))
    for name in TABLES:
        if any(word in name for word in asked.only.split(",")):
            profile = cProfile.Profile() if asked.profile else None
            rows = min(asked.rows, FEWER.get(name, asked.rows))
            with profile or nullcontext():
                speed = speed_of(name, grown, rows)
            if profile:
                profile.dump_stats(asked.profile)
            print(f"{name:26}{speed.line}", flush=True)


if __name__ == "__main__":
    main()
