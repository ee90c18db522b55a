"""The lines of water: not fit where animals are, nitrite in quarantine, tests that are overdue."""

from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, and_more, write_line
from breeding.agenda.lines.tanks.work import work_due
from breeding.housing.water.arisen import arisen_of
from breeding.housing.water.danger import dangers_of
from breeding.housing.water.watched import WatchedTank
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import some

MOST_NAMED = 6


def unfit_water_lines(gathered: Gathered) -> Iterator[Line]:
    """Each tank with animals whose newest readings are out of range, until a test is fit.

    Nitrite in quarantine is a line whatever the program's own range allows. What harms already is
    called so, and said first.
    """
    unfit = [one.tank for one in gathered.tanks if one.fit.fit is False]
    arisen = arisen_of(unfit, gathered.today) if unfit else {}
    dangers = dangers_of(unfit, gathered.today, program=gathered.program) if unfit else {}
    for one in gathered.tanks:
        nitrite = one.nitrite_on if one.tank.kind == one.tank.Kind.QUARANTINE else None
        if one.fit.fit is not False and nitrite is None:
            continue
        tested_on = one.fit.tested_on or nitrite or gathered.today
        harms = dangers.get(one.tank.pk, ())
        why = (
            one.fit.words if one.fit.fit is False else tell("Nitrite was found in the newest test.")
        )
        yield write_line(
            KINDS[_kind_of(is_harmful=bool(harms), has_nitrite=nitrite is not None)],
            mark=f"{one.tank.pk}:{tested_on}",
            series_mark=str(one.tank.pk),
            on=tested_on,
            today=gathered.today,
            who=str(one.tank),
            why=" ".join((*harms, why, *arisen.get(one.tank.pk, ()), _unfit_words(one))),
            animal=one.animals[0],
            page_of=one.tank.pk,
            facts={"tank_id": one.tank.pk},
        )


def _kind_of(*, is_harmful: bool, has_nitrite: bool) -> str:
    if is_harmful:
        return "water_harms"
    return "nitrite_in_quarantine" if has_nitrite else "water_unfit"


def _unfit_words(one: WatchedTank) -> str:
    names = some([animal.name for animal in one.animals], MOST_NAMED)
    return tell("In it: {names}. Change water, find the cause and test again.", names=names)


def close_test_lines(gathered: Gathered) -> Iterator[Line]:
    """A nursery or a quarantine tank with animals whose test is overdue: one line each."""
    for one in gathered.tanks:
        if one.is_watched_closely and _is_overdue(one, gathered):
            yield _test_line(gathered, "water_test_closely", [one])


def overdue_test_lines(gathered: Gathered) -> Iterator[Line]:
    """All other tanks whose test is overdue by the program's own rhythm: one line for all."""
    due = [
        one for one in gathered.tanks if not one.is_watched_closely and _is_overdue(one, gathered)
    ]
    if due:
        yield _test_line(gathered, "water_test", due)


def _is_overdue(one: WatchedTank, gathered: Gathered) -> bool:
    """Where a change or care is due as well, its line says so (lines/work.py)."""
    is_due = one.test_due_on is not None and one.test_due_on <= gathered.today
    return is_due and not work_due(one, gathered)


def _test_line(gathered: Gathered, kind: str, due: list[WatchedTank]) -> Line:
    """The mark holds how often the test has been due: an answer holds for one rhythm."""
    first = min(due, key=lambda one: (one.test_due_on or gathered.today, one.tank.name))
    on = first.test_due_on or gathered.today
    rounds = (gathered.today - on).days // max(first.test_days, 1)
    said = [_overdue_words(first)]
    if due[1:]:
        tanks = some([str(one.tank) for one in due], MOST_NAMED)
        said.append(tell("In all: {tanks}.", tanks=tanks))
    return write_line(
        KINDS[kind],
        mark=f"{first.tank.pk}:{on}:{rounds}",
        series_mark=str(first.tank.pk) if kind == "water_test_closely" else "all",
        on=on,
        today=gathered.today,
        who=and_more(str(first.tank), len(due) - 1),
        why=" ".join(said),
        animal=first.animals[0],
        page_of=first.tank.pk,
        facts={"tank_id": first.tank.pk},
    )


def _overdue_words(one: WatchedTank) -> str:
    if one.fit.tested_on is None:
        return tell(
            "{tank}: never tested on record; here a test may be {days} days old at most.",
            tank=one.tank,
            days=one.test_days,
        )
    return tell(
        "{tank}: last tested on {day}; here a test may be {days} days old at most.",
        tank=one.tank,
        day=long_day(one.fit.tested_on),
        days=one.test_days,
    )
