"""All parts of the check, one after the other: `check_records` and its page say the same."""

import datetime
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from django.db import DatabaseError

from breeding.program.frame.memory import for_one_request
from breeding.records.checking import (
    care,
    database,
    days,
    files,
    index,
    lineage,
    pictures,
    places,
)
from breeding.records.checking.finding import RESTORE, THE_DATABASE, Finding
from breeding.records.checking.gathered import Gathered, gather
from breeding.words.language import message, tell, tell_many

Look = Callable[[Gathered], Iterator[Finding]]


@dataclass(frozen=True)
class Part:
    """What was looked at under one heading, and what was found."""

    heading: str
    findings: tuple[Finding, ...]


PARTS: tuple[tuple[str, tuple[Look, ...]], ...] = (
    (message("The database"), (database.rules_broken, database.pointing_to_nothing)),
    (message("Lineage"), (lineage.loops, lineage.impossible_animals)),
    (message("Days, sexes and what each record says"), (
        days.impossible_days, days.wrong_sexes, days.rules_of_each_record,
    )),
    (message("Who is where, and with whom"), (
        places.two_places_at_once, places.paired_twice_at_once, places.in_a_tank_though_gone,
    )),
    (message("Food, health, arrivals and loans"), (
        care.after_it_left, care.fed_when_it_was_not_there,
        care.treatments_that_end_before_they_may, care.quarantines_at_once,
        care.died_by_one_record_alone, care.came_after_it_was_here,
        care.loans_and_where_it_stands,
    )),
    (message("Pictures"), (pictures.looks_like_another,)),
    (message("Finding"), (index.index_of_finding,)),
    (message("Files and keys"), (files.missing_files, files.files_of_nobody, files.lost_key)),
)  # fmt: skip


def check_everything(today: datetime.date) -> list[Part]:
    """Every part with what is wrong; a database that is not whole is told, and nothing else."""
    if missing := tuple(database.what_is_missing()):
        return [Part(tell("The database"), missing)]
    with for_one_request(only_reads=True):  # figures and words of species are asked for once
        gathered = gather(today)
        return [Part(tell(heading), _look(looks, gathered)) for heading, looks in PARTS]


def _look(looks: tuple[Look, ...], gathered: Gathered) -> tuple[Finding, ...]:
    found: list[Finding] = []
    for look in looks:
        try:
            found += look(gathered)
        except DatabaseError as problem:
            words = " ".join(str(problem).split())
            words = tell("A part cannot be read: {problem}.", problem=words)
            found.append(Finding(tell(THE_DATABASE), words, tell(RESTORE)))
    return tuple(dict.fromkeys(found))


def found_words(parts: list[Part]) -> str:
    """How much was found, in one sentence."""
    number = sum(len(part.findings) for part in parts)
    if not number:
        return tell("All records are whole, and none says anything impossible.")
    return tell_many(
        "{number} thing to put right. Nothing was changed.",
        "{number} things to put right. Nothing was changed.",
        number,
    )
