"""What the running server does by itself, once a minute; rooms above bring their jobs here.

Of several server processes on one PostgreSQL one does it, and when that ends another goes on; but
what a process keeps in its own memory each makes ready for itself.
"""

import logging
from collections.abc import Callable
from datetime import UTC, datetime

from apscheduler.executors.pool import ThreadPoolExecutor
from apscheduler.schedulers.background import BackgroundScheduler
from django.db import close_old_connections, connection
from django.utils import timezone

from breeding.program import clock
from breeding.program.language.chosen import as_read_by
from breeding.program.queries import the_program
from breeding.program.serving import memory
from breeding.program.serving.turns import MINUTE, Turn
from breeding.stack import in_one_piece

Job = Callable[[datetime], object]

log = logging.getLogger(__name__)
_jobs: dict[str, Job] = {}
_everywhere: set[str] = set()  # names of the jobs that each process does
_turn = Turn(MINUTE)


def each_minute(name: str, job: Job, *, in_every_process: bool = False) -> None:
    """Called once by a room above, in its AppConfig.ready; the job is handed the moment."""
    _jobs[name] = job
    if in_every_process:
        _everywhere.add(name)


@in_one_piece
def run_jobs() -> None:
    """Every job once; one that fails is written in the log and keeps none of the others back.

    First what a process makes ready for its own visitors: they wait for no backup. What one process
    does is left to the one whose turn it is. It is the day it is in the program's time zone, as in
    a request.
    """
    close_old_connections()
    is_mine = _turn.is_mine()
    try:
        for name, job in sorted(_jobs.items(), key=lambda one: one[0] not in _everywhere):
            if not is_mine and name not in _everywhere:
                continue
            try:
                program = the_program()
                with timezone.override(program.zone), as_read_by(None, program):
                    job(clock.now())
            except Exception:
                log.exception("The job %s failed; it is run again in a minute", name)
    finally:
        close_old_connections()
        keep_little_of_the_file()


def keep_little_of_the_file() -> None:
    """What this thread's line to SQLite has kept of the file, some MB, goes; the line stays.

    While one stands, pages can be read on a full disk: to open the first one writes beside the
    file.
    """
    if connection.vendor == "sqlite" and connection.connection is not None:
        connection.cursor().execute("PRAGMA shrink_memory")


def stop_running(scheduler: BackgroundScheduler) -> None:
    """Wait for what is under way, then let another process do the minute's work."""
    scheduler.shutdown()
    _turn.give_up()
    memory.look_through_all_as_python_does()


def start_running() -> BackgroundScheduler:
    """A scheduler in a thread of this process, until `stop_running`.

    It ticks in UTC and knows no hours of the day: a job itself looks at the clock on the wall,
    so a change of that clock moves nothing here. Ticks that were missed are one tick.
    """
    scheduler = BackgroundScheduler(timezone=UTC, executors={"default": ThreadPoolExecutor(1)})
    for minutely in (run_jobs, memory.give_back):  # what memory it holds is each process's own
        scheduler.add_job(
            minutely,
            "interval",
            minutes=1,
            next_run_time=datetime.now(UTC),
            coalesce=True,
            max_instances=1,
            misfire_grace_time=None,
        )
    scheduler.start()
    memory.look_through_all_by_the_minute()
    return scheduler
