"""Gathers the day from the rooms below; writes nothing."""

import datetime
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.kind import Kind
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lede import lede
from breeding.agenda.lines.alike import alike_lines
from breeding.agenda.lines.arrivals import loan_lines
from breeding.agenda.lines.backups import backup_lines
from breeding.agenda.lines.buyers import reservation_lines, wish_lines
from breeding.agenda.lines.company import company_lines
from breeding.agenda.lines.disagreeing import contradicting_pup_lines, disagreement_lines
from breeding.agenda.lines.feeding import leaving_food_lines, near_birth_lines, silent_lines
from breeding.agenda.lines.females import season_lines, window_lines
from breeding.agenda.lines.gone import pairing_lines, plan_lines, promise_lines
from breeding.agenda.lines.health.apart import (
    death_in_water_lines,
    quarantine_lines,
    untold_death_lines,
)
from breeding.agenda.lines.health.harmed import fasting_lines, healing_lines
from breeding.agenda.lines.health.illness import (
    hold_lines,
    treatment_lines,
    unwell_lines,
    visit_lines,
)
from breeding.agenda.lines.line import Line, in_order
from breeding.agenda.lines.own import own_lines
from breeding.agenda.lines.planned import planned_lines
from breeding.agenda.lines.raising import first_food_lines, under_way_lines, weighing_lines
from breeding.agenda.lines.tanks.placing import placing_lines
from breeding.agenda.lines.tanks.space import space_lines
from breeding.agenda.lines.tanks.water import (
    close_test_lines,
    overdue_test_lines,
    unfit_water_lines,
)
from breeding.agenda.lines.tanks.work import work_lines
from breeding.agenda.lines.young import fresh_litter_lines, lagging_lines, ready_to_leave_lines
from breeding.agenda.models import Answer
from breeding.animals.around import everybody_around
from breeding.animals.models import Animal
from breeding.feeding.renewed import silence_renewed
from breeding.pairings.season.reading import SeasonReading
from breeding.program.models import Person, Program
from breeding.program.unchanged.growing import kept_from_page_to_page
from breeding.program.unchanged.marks import rests_on
from breeding.program.unchanged.values import kept_while_unchanged

Source = Callable[[Gathered], Iterable[Line]]

# Whoever yields lines is named here once. Due windows are spans, which a calendar alone can show;
# records that disagree are work for the desk and fall on no day.
# Wounds and food come first: what is asked there of everybody here, others ask of some.
SOURCES: tuple[Source, ...] = (
    healing_lines,
    fasting_lines,
    season_lines,
    company_lines,
    near_birth_lines,
    unwell_lines,
    treatment_lines,
    hold_lines,
    visit_lines,
    quarantine_lines,
    death_in_water_lines,
    unfit_water_lines,
    close_test_lines,
    overdue_test_lines,
    work_lines,
    space_lines,
    fresh_litter_lines,
    first_food_lines,
    ready_to_leave_lines,
    wish_lines,
    reservation_lines,
    loan_lines,
    planned_lines,
    own_lines,
)
ON_THE_DAY: tuple[Source, ...] = (
    *SOURCES,
    silent_lines,
    leaving_food_lines,
    lagging_lines,
    under_way_lines,
    weighing_lines,
    untold_death_lines,
    pairing_lines,
    promise_lines,
    plan_lines,
    disagreement_lines,
    contradicting_pup_lines,
    placing_lines,
    alike_lines,
    backup_lines,
)
IN_THE_CALENDAR: tuple[Source, ...] = (*SOURCES, window_lines)
# What is seen, eaten or looked at every day says nothing of these: they are kept while it is.
KEPT: frozenset[Source] = frozenset(
    {
        unwell_lines,
        treatment_lines,
        hold_lines,
        visit_lines,
        quarantine_lines,
        death_in_water_lines,
        unfit_water_lines,
        close_test_lines,
        overdue_test_lines,
        work_lines,
        space_lines,
        reservation_lines,
        loan_lines,
        planned_lines,
        own_lines,
        untold_death_lines,
        pairing_lines,
        promise_lines,
        plan_lines,
        placing_lines,
    }
)
# These too, but for rows about the pups of young litters.
OF_LITTERS: frozenset[Source] = frozenset(
    {
        fresh_litter_lines,
        first_food_lines,
        ready_to_leave_lines,
        lagging_lines,
        under_way_lines,
        weighing_lines,
        contradicting_pup_lines,
    }
)
# And these until a round is written down, or a sighting that tells of food.
OF_MEALS: frozenset[Source] = frozenset({silent_lines, leaving_food_lines})
# What they say is said by a tank's own water, or done at the desk.
AT_NO_TANK: frozenset[Source] = frozenset(
    {
        unfit_water_lines,
        close_test_lines,
        overdue_test_lines,
        wish_lines,
        reservation_lines,
        promise_lines,
        disagreement_lines,
        contradicting_pup_lines,
        alike_lines,
        backup_lines,
    }
)
AT_TANKS: tuple[Source, ...] = tuple(one for one in ON_THE_DAY if one not in AT_NO_TANK)


def seen_by(person: Person, lines: Iterable[Line]) -> list[Line]:
    """Those of the lines that this person may read."""
    read = {key for key, kind in KINDS.items() if _may_read(person, kind)}
    return [one for one in lines if one.kind.key in read]


def _may_read(person: Person, kind: Kind) -> bool:
    return (person.may_see_buyers or not kind.is_of_buyers) and kind.for_owners <= person.is_owner


@dataclass(frozen=True)
class Day:
    """The front page: lines that stand, lines answered today or still put off, and the season.

    taken_back: answers that were withdrawn, to lines that could be answered today. could_pair:
    there are females and males, so that a plan of the season has something to say.
    """

    lines: list[Line]
    answered: list[tuple[Line, Answer]]
    taken_back: list[tuple[Line, Answer]]
    lede: str
    seasons: list[SeasonReading]
    has_animals: bool
    could_pair: bool


def the_day(
    program: Program,
    *,
    today: datetime.date,
    for_owner: bool = False,
    reader: Person | None = None,
) -> Day:
    """Everything the day asks for; the number of queries does not grow with the animals.

    for_owner: with what only an owner can do anything about. With a reader: what this person may
    read of it.
    """
    gathered = Gathered(program, today)
    lines = _readable(ON_THE_DAY, gathered, for_owner=for_owner, reader=reader)
    given = _given([line.key for line in lines])
    by_key = {line.key: line for line in lines}
    taken_back = [(by_key[one.key], one) for one in given if one.is_withdrawn]
    standing, answered = _by_answers(in_order(lines), _latest(given), today)
    around = everybody_around()
    count, sexes = len(around), {one.sex for one in around}
    seasons = gathered.seasons
    return Day(
        standing,
        answered,
        taken_back,
        lede(standing, count, seasons),
        seasons,
        has_animals=count > 0,
        could_pair={Animal.Sex.FEMALE, Animal.Sex.MALE} <= sexes,
    )


def at_tanks(gathered: Gathered, reader: Person) -> list[Line]:
    """Of the lines that stand, in no order, those that this person may read and does at a tank."""
    lines = _readable(AT_TANKS, gathered, for_owner=reader.is_owner, reader=reader)
    return _by_answers(lines, _answers([line.key for line in lines]), gathered.today)[0]


def _readable(
    sources: Iterable[Source], gathered: Gathered, *, for_owner: bool, reader: Person | None
) -> list[Line]:
    """Whatever has come so near that its kind is asked for, and may be read."""
    last = {
        key: gathered.today + datetime.timedelta(days=kind.days_ahead)
        for key, kind in KINDS.items()
        if kind.for_owners <= for_owner and (reader is None or _may_read(reader, kind))
    }
    return [
        line
        for line in _lines(sources, gathered)
        if (until := last.get(line.kind.key)) is not None and line.on <= until
    ]


def _by_answers(
    lines: Iterable[Line], answers: Mapping[str, Answer], today: datetime.date
) -> tuple[list[Line], list[tuple[Line, Answer]]]:
    """Those that stand, in the order given, and those that are answered or still put off."""
    standing, answered = [], []
    for line in lines:
        answer = answers.get(line.key)
        if answer is None:
            standing.append(line)
        elif answer.put_off_until and answer.put_off_until <= today:
            standing.append(replace(line, asked_again_on=answer.put_off_until))
        else:
            answered.append((line, answer))
    return standing, answered


def all_ahead(program: Program, *, today: datetime.date) -> list[Line]:
    """What the day asks for now and whatever is known to come, with the due windows as spans.

    A line that is done is left out; one that is put off stands on the day it was put off to.
    """
    lines = list(_lines(IN_THE_CALENDAR, Gathered(program, today)))
    answers = _answers([line.key for line in lines])
    ahead = []
    for line in in_order(lines):
        answer = answers.get(line.key)
        if answer is None:
            ahead.append(line)
        elif answer.put_off_until:
            put_off = answer.put_off_until
            ahead.append(replace(line, on=put_off, asked_again_on=put_off, moves_daily=False))
    return ahead


def _lines(sources: Iterable[Source], gathered: Gathered) -> Iterator[Line]:
    kept = _kept_lines(gathered)
    for source in sources:
        yield from kept[source] if source in kept else source(gathered)


def _kept_lines(gathered: Gathered) -> dict[Source, list[Line]]:
    """What is the same from page to page, each part by what makes it anew."""
    program, today = gathered.program, gathered.today

    def written(sources: Collection[Source]) -> dict[Source, list[Line]]:
        rests_on(Program)
        of_these = Gathered(program, today)
        return {source: list(source(of_these)) for source in ON_THE_DAY if source in sources}

    return {
        **kept_from_page_to_page(("lines of the day", today), lambda: written(KEPT)),
        **kept_from_page_to_page(
            ("lines of litters", today), lambda: written(OF_LITTERS), parts=gathered.by_litters
        ),
        **kept_from_page_to_page(
            ("lines of meals", today), lambda: written(OF_MEALS), silence_renewed()
        ),
    }


def _answers(keys: list[str]) -> dict[str, Answer]:
    """The latest answer that counts to each line."""
    return _latest(_given(keys))


def _given(keys: list[str]) -> list[Answer]:
    """Every answer to these lines as they were given, withdrawn ones too: two queries.

    There may be more lines than a database takes in one question: asked is only about those that
    anybody ever answered.
    """
    ever = kept_while_unchanged("lines that were answered", _ever_answered)
    keys = [key for key in keys if key in ever]
    if not keys:
        return []
    answers = Answer.objects.filter(key__in=keys).select_related("recorded_by")
    return list(answers.order_by("recorded_at", "pk"))


def _ever_answered() -> frozenset[str]:
    return frozenset(Answer.objects.order_by().values_list("key", flat=True).distinct())


def _latest(answers: Iterable[Answer]) -> dict[str, Answer]:
    return {answer.key: answer for answer in answers if not answer.is_withdrawn}
