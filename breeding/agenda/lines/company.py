"""The lines of company: kin in one tank, and those that must not meet, with who must leave."""

import datetime
from collections.abc import Collection, Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Act, Line, write_line
from breeding.pairings.company.known import Bearing, bearing_of
from breeding.pairings.company.standing import Standing, standing
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

    The lines are kept while tanks, and what matters of the seasons, stay as they are.
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
        return list(_lines(gathered.program, gathered.today, bearing, separated))

    yield from kept_from_page_to_page(
        ("company lines", gathered.today, matters), write, alike="company lines"
    )


def _lines(
    program: Program, today: datetime.date, bearing: Bearing, separated: Collection[int]
) -> Iterator[Line]:
    for one in standing(program, asof=today, bearing=bearing):
        concern = one.concern
        if concern.kind in SAID_BY_HER_SEASON and concern.animals[1].pk in separated:
            continue
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
        yield write_line(
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
