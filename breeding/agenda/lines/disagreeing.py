"""The lines of records that disagree: tanks and pairings, signs and company, pups and litters."""

import datetime
from collections.abc import Iterable, Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Act, Line, write_line
from breeding.agenda.lines.once import written_once
from breeding.pairings.season.disagreements import Disagreement, disagreements
from breeding.pairings.season.hints import hints_on
from breeding.pairings.season.questions import questions_of
from breeding.words.language import tell
from breeding.words.numbers import some

MOST_NAMED = 6
KIND_OF = {
    "apart": KINDS["company_apart"],
    "ended": KINDS["company_ended"],
    "unrecorded": KINDS["company_unrecorded"],
    "unknown_sex": KINDS["company_unknown_sex"],
    "sign_alone": KINDS["sign_alone"],
    "sign_elsewhere": KINDS["sign_elsewhere"],
    "scan_unexplained": KINDS["scan_unexplained"],
    "not_pregnant_then_birth": KINDS["not_pregnant_then_birth"],
    "said_pregnant": KINDS["said_pregnant"],
}


def disagreement_lines(gathered: Gathered) -> Iterator[Line]:
    """Where tanks and pairings say different things, and what her season contradicts."""
    today = gathered.today
    company = disagreements(gathered.program, asof=today)
    yield from written_once("company", gathered, company, lambda one: _lines_of([one], today))
    yield from written_once(
        "questions",
        gathered,
        gathered.every_season,
        lambda reading: _lines_of(questions_of(reading), today),
    )
    yield from _lines_of(hints_on(today), today)


def _lines_of(found: Iterable[Disagreement], today: datetime.date) -> Iterator[Line]:
    for one in found:
        yield write_line(
            KIND_OF[one.kind],
            mark=one.key,
            on=one.since,
            today=today,
            who=one.female.name,
            why=one.words,
            animal=one.female,
            facts={"males": some([male.name for male in one.males], MOST_NAMED)},
            acts=[Act(*way) for way in one.ways],
        )


def contradicting_pup_lines(gathered: Gathered) -> Iterator[Line]:
    """Pups whose own record names another dam or day than their litter."""
    for one in gathered.contradicting_pups:
        litter = one.pup.litter
        yield write_line(
            KINDS["pup_contradicts"],
            mark=f"{one.pup.pk}:{one.animal.dam_id or 0}:{one.animal.born_on or 0}",
            on=gathered.today,
            today=gathered.today,
            who=tell("Litter {code}", code=litter.code),
            why=one.words,
            animal=one.animal,
            page_of=litter.pk,
            facts={
                "pup": one.animal.name,
                "pup_id": one.pup.pk,
                "animal_id": one.animal.pk,
                "litter_id": litter.pk,
            },
        )
