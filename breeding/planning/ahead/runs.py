"""Looking ahead: a simulation is started, runs beside the server, can be stopped, and is kept.

How far it is stands in its row, so that any server process shows it; when the process that works
on it ends, another begins it again with the same seed, which gives the same result.
"""

import logging
import os
import threading
from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Any

import numpy as np
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import close_old_connections, connection, transaction
from django.db.models import F
from django.utils import timezone

from breeding.animals import lineage
from breeding.planning.ahead.own_figures import ASSUMPTION
from breeding.planning.models import STOPPED_BEFORE, STOPPED_OFTEN, LookAhead
from breeding.planning.state.members import members
from breeding.program import clock
from breeding.program.models import Person, Program
from breeding.program.queries import the_program
from breeding.words.language import tell
from pedigree.ahead.assumptions import POLICIES, Assumptions, WrongAssumption
from pedigree.ahead.outlook import Outlook, Stopped, look_ahead
from pedigree.ahead.simulation import FIGURES, Start, start_of

log = logging.getLogger(__name__)
WORKERS = max(1, min(2, os.cpu_count() or 1))
SILENT = timedelta(minutes=2)  # no sign of life for so long: the server was stopped meanwhile
SIGN_OF_LIFE = timedelta(seconds=20)  # at least so often, however long a piece takes
MOST_BEGINNINGS = 3  # what ends its process so often is not begun once more
PERCENTS = (5, 50, 95)


@transaction.atomic
def begin(
    figures: Mapping[str, Any],
    *,
    seed: int,
    basis: Mapping[str, str],
    by: Person | None,
    now: datetime,
) -> LookAhead:
    """Write down what is asked; `run` does the work. Raises ValidationError, by field.

    figures: names of `Assumptions` to values. basis: where each comes from, in words.
    """
    try:
        assumed = Assumptions(**figures)
    except WrongAssumption as problem:
        field = problem.name if problem.name in figures else NON_FIELD_ERRORS
        raise ValidationError({field: str(problem)}) from None
    if not any(one.is_here for one in members()):
        raise ValidationError(
            tell("Nobody is living in the program; there is nothing to look ahead at.")
        )
    Program.objects.select_for_update().first()  # two that begin at once come one after the other
    if running(now) is not None:
        raise ValidationError(
            tell("A look ahead is running already; wait for it, or stop it first.")
        )
    LookAhead.objects.filter(state=LookAhead.State.RUNNING).update(
        state=LookAhead.State.FAILED, trouble=STOPPED_BEFORE
    )
    return LookAhead.objects.create(
        seed=seed,
        assumptions={
            name: {"value": value, "basis": basis.get(name, ASSUMPTION)}
            for name, value in asdict(assumed).items()
        },
        in_all=assumed.replicates * len(POLICIES),
        heard_of_at=now,
        first_year=timezone.localdate(now).year,
        recorded_by=by,
    )


def run_beside(asked: LookAhead) -> threading.Thread:
    """Run it in a thread of its own; the arithmetic is done by processes."""
    thread = threading.Thread(target=_run_and_close, args=(asked.pk,), daemon=True)
    thread.start()
    return thread


def take_up(now: datetime) -> None:
    """Begin again what was at work in a process that has ended. Called once a minute."""
    silent = LookAhead.objects.filter(state=LookAhead.State.RUNNING, heard_of_at__lte=now - SILENT)
    for asked in silent:
        as_read = silent.filter(pk=asked.pk, heard_of_at=asked.heard_of_at)
        if asked.stop_wished:
            as_read.update(state=LookAhead.State.STOPPED)
        elif asked.begun >= MOST_BEGINNINGS:
            as_read.update(
                state=LookAhead.State.FAILED,
                trouble=STOPPED_OFTEN.format(number=asked.begun),
            )
        elif as_read.update(heard_of_at=now, begun=F("begun") + 1, done=0):
            run_beside(asked)


def _run_and_close(pk: int) -> None:
    close_old_connections()
    try:
        run(pk, workers=WORKERS)
    except Exception:  # the row cannot even say so; it is called silent after a while
        log.exception("Look ahead %s ended without a word in its row", pk)
    finally:
        connection.close()


def ask_to_stop(pk: int) -> bool:
    """Wish that one that runs stops at its next step; False when it runs no more."""
    running = LookAhead.objects.filter(pk=pk, state=LookAhead.State.RUNNING)
    return running.update(stop_wished=True) == 1


def run(pk: int, *, workers: int) -> None:
    """Simulate and keep the result. Whatever goes wrong is written into the row.

    Days are the program's own: in a thread beside the server no request has chosen its zone.
    """
    with timezone.override(the_program().zone):
        _run(pk, workers)


def _run(pk: int, workers: int) -> None:
    asked = LookAhead.objects.get(pk=pk)
    # One that was given up as silent stays given up, whatever it still finds.
    rows = LookAhead.objects.filter(pk=pk, state=LookAhead.State.RUNNING)
    last = [clock.now()]

    def progress(done: int, _in_all: int) -> None:
        if clock.now() - last[0] > timedelta(seconds=0.4):
            last[0] = clock.now()
            rows.update(done=done, heard_of_at=last[0])

    def stop() -> bool:
        if clock.now() - last[0] > SIGN_OF_LIFE:
            last[0] = clock.now()
            rows.update(heard_of_at=last[0])
        return not rows.filter(stop_wished=False).exists()

    try:
        outlook = look_ahead(
            start_today(),
            np.random.default_rng(asked.seed),
            assumptions_of(asked),
            workers=workers,
            progress=progress,
            stop=stop,
        )
    except Stopped:
        rows.update(state=LookAhead.State.STOPPED, heard_of_at=clock.now())
    except Exception as problem:
        log.exception("Look ahead %s failed", pk)
        rows.update(state=LookAhead.State.FAILED, trouble=str(problem)[:300])
    else:
        rows.update(
            state=LookAhead.State.DONE,
            done=asked.in_all,
            result=_result(outlook),
            heard_of_at=clock.now(),
        )


def assumptions_of(asked: LookAhead) -> Assumptions:
    return Assumptions(**{name: one["value"] for name, one in asked.assumptions.items()})


def start_today() -> Start:
    """Everybody living, as the simulation begins with them."""
    living = [one for one in members() if one.is_here]
    today = clock.today()
    return start_of(
        lineage.current().pedigree,
        [one.pk for one in living],
        females=[one.pk for one in living if one.sex == "F"],
        males=[one.pk for one in living if one.sex == "M"],
        age_years={one.pk: one.age_years(today) for one in living},
    )


def _result(outlook: Outlook) -> dict[str, Any]:
    """Bands by policy and figure: (5, 50, 95 %) for each year; None where there is none."""
    found: dict[str, Any] = {}
    for policy in outlook.policies:
        figures = {}
        for figure in FIGURES:
            band = outlook.band(policy.key, figure, PERCENTS).T.tolist()
            figures[figure] = [[None if part != part else part for part in year] for year in band]
        found[policy.key] = {
            "says": policy.says,
            "died_out": outlook.died_out(policy.key),
            "figures": figures,
        }
    return found


def running(now: datetime) -> LookAhead | None:
    """The one that is at work now."""
    return LookAhead.objects.filter(
        state=LookAhead.State.RUNNING, heard_of_at__gt=now - SILENT
    ).first()


def is_silent(asked: LookAhead, now: datetime) -> bool:
    """Whether one that is said to run has given no sign of life for long."""
    return asked.state == LookAhead.State.RUNNING and now - asked.heard_of_at > SILENT
