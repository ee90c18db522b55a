"""The lines of company: kin in one tank, and those that must not meet, with who must leave."""

import datetime
from collections.abc import Collection, Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Act, Line, write_line
from breeding.agenda.lines.once import written_once
from breeding.pairings.company.concerns import Concern
from breeding.pairings.company.known import bearing_of
from breeding.pairings.company.standing import Standing, all_standing
from breeding.program.models import Program
from breeding.program.unchanged.growing import kept_from_page_to_page
from breeding.program.unchanged.marks import rests_on
from breeding.words.language import tell, tell_many

KIND_OF = {
    "pups": KINDS["company_pups"],
    "birth": KINDS["company_birth"],
    "wound": KINDS["company_wound"],
    "rest": KINDS["company_rest"],
    "quarantine": KINDS["company_quarantine"],
    "kin": KINDS["company_kin"],
    "growing_kin": KINDS["growing_kin"],
}
MOST_SAID = 4  # sentences
SAID_BY_HER_SEASON = ("birth", "wound")  # where her season asks to separate her already


def company_lines(gathered: Gathered) -> Iterator[Line]:
    """What speaks against the company in the tanks as they are now.

    The lines are kept while tanks, and what matters of the seasons, stay as they are; else they are
    written anew of the tanks that it is about.
    """
    separated = frozenset(
        reading.female.pk
        for reading in gathered.every_season
        if any(action.kind.startswith("separate") for action in reading.actions)
    )
    bearing = bearing_of(gathered.every_season, gathered.open_harm, gathered.today)
    matters = (tuple(bearing.window_opens.items()), tuple(bearing.wounds.items()), separated)

    def write() -> list[Line]:
        rests_on(Program)
        every = all_standing(gathered.program, asof=gathered.today, bearing=bearing)
        left = (one for one in every if not _said_by_her_season(one.concern, separated))
        return written_once("to part", gathered, left, lambda one: [_line(one, gathered.today)])

    yield from kept_from_page_to_page(
        ("company lines", gathered.today, matters), write, alike="company lines"
    )


def _said_by_her_season(concern: Concern, separated: Collection[int]) -> bool:
    return concern.kind in SAID_BY_HER_SEASON and concern.animals[1].pk in separated


def _line(one: Standing, today: datetime.date) -> Line:
    concern = one.concern
    said = list(concern.sentences[:MOST_SAID])
    if (more := len(concern.sentences) - MOST_SAID) > 0:
        said.append(
            tell_many(
                "The same of {number} more animal there.",
                "The same of {number} more animals there.",
                more,
            )
        )
    if one.reason:
        said.append(tell("The reason on record: {reason}", reason=one.reason))
    return write_line(
        KIND_OF[concern.kind],
        mark=concern.key,
        on=one.since,
        today=today,
        who=concern.leaves.name,
        why=" ".join(said),
        animal=concern.leaves,
        facts={
            "place": one.stay.place,
            "who": concern.leaves.name,
            "animal_id": concern.leaves.pk,
        },
        acts=_divider(one),
    )


def _divider(one: Standing) -> tuple[Act, ...]:
    tank = one.stay.tank
    if not tank.can_divide or one.stay.side:
        return ()
    return (Act(tell("Close the divider"), "housing:close_divider", tank.pk),)
