"""The lines of work: a tank in which a test, a change or filter care is due, all of it in one."""

from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Act, Line, write_line
from breeding.housing.water.watched import WatchedTank
from breeding.housing.work.due_words import due_words, what_words
from breeding.housing.work.queries import amount_words, last_changes_of
from breeding.housing.work.rhythm import Due, What
from breeding.words.language import tell
from breeding.words.numbers import joined


def work_lines(gathered: Gathered) -> Iterator[Line]:
    """Each tank with animals in which changes or filter care are due by its own rhythm.

    A test that is overdue there is said in the same line, and in no other.
    """
    due = {one.tank.pk: work_due(one, gathered) for one in gathered.tanks}
    changing = [
        one.tank
        for one in gathered.tanks
        if any(work.what == What.CHANGE for work in due[one.tank.pk])
    ]
    last = last_changes_of(changing) if changing else {}
    for one in gathered.tanks:
        if due[one.tank.pk]:
            again = last.get(one.tank.pk)
            words = (
                tell(
                    "Changed {amount} again",
                    amount=amount_words(again, gathered.program),
                )
                if again
                else ""
            )
            yield _line(one, due[one.tank.pk], gathered, words)


def work_due(one: WatchedTank, gathered: Gathered) -> list[Due]:
    """What of changes and filter care is due by now; nothing without a rhythm."""
    return [work for work in one.work if work.on <= gathered.today]


def _line(one: WatchedTank, due: list[Due], gathered: Gathered, again: str) -> Line:
    """The mark holds how often it has been due: an answer holds for one rhythm."""
    tank, test_due_on = one.tank, one.test_due_on
    every = list(due)
    if test_due_on is not None and test_due_on <= gathered.today:
        every.append(Due(What.TEST, test_due_on, one.test_days, one.fit.tested_on))
    first = min(every, key=lambda work: work.on)
    rounds = (gathered.today - first.on).days // max(first.every_days, 1)
    what = "-".join(sorted(work.what for work in every))
    return write_line(
        KINDS["tank_due_closely" if one.is_watched_closely else "tank_due"],
        mark=f"{tank.pk}:{what}:{first.on}:{rounds}",
        series_mark=str(tank.pk),
        on=first.on,
        today=gathered.today,
        who=str(tank),
        why=_sentence([due_words(work) for work in every]),
        animal=one.animals[0],
        page_of=tank.pk,
        facts={"what": joined([what_words(work.what) for work in every])},
        acts=list(_acts(tank.pk, [work.what for work in every], again)),
    )


def _acts(tank: int, whats: list[str], again: str) -> Iterator[Act]:
    if What.CHANGE in whats:
        if again:
            yield Act(again, "housing:again", tank, is_pressed=True)
        yield Act(tell("Another change") if again else tell("Change water"), "housing:change", tank)
    if What.FILTER in whats:
        yield Act(tell("Filter rinsed"), "housing:tap_work", ("filter", tank), is_pressed=True)
    if What.TEST in whats:
        yield Act(tell("Write down a test"), "housing:water_test", tank)


def _sentence(parts: list[str]) -> str:
    words = "; ".join(parts)
    return f"{words[:1].upper()}{words[1:]}."
