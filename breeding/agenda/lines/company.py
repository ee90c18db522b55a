"""The lines of company: kin in one tank, and those that must not meet, with who must leave."""

from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Act, Line, write_line
from breeding.pairings.company.standing import Standing, standing
from breeding.words.language import tell

KIND_OF = {
    "pups": KINDS["company_pups"],
    "birth": KINDS["company_birth"],
    "wound": KINDS["company_wound"],
    "rest": KINDS["company_rest"],
    "quarantine": KINDS["company_quarantine"],
    "kin": KINDS["company_kin"],
    "growing_kin": KINDS["growing_kin"],
}
SAID_BY_HER_SEASON = ("birth", "wound")  # where her season asks to separate her already


def company_lines(gathered: Gathered) -> Iterator[Line]:
    """What speaks against the company in the tanks as they are now."""
    separated = {
        reading.female.pk
        for reading in gathered.every_season
        if any(action.kind.startswith("separate") for action in reading.actions)
    }
    for one in standing(gathered.program, asof=gathered.today, read=gathered.every_season):
        concern = one.concern
        if concern.kind in SAID_BY_HER_SEASON and concern.animals[1].pk in separated:
            continue
        said = list(concern.sentences)
        if one.reason:
            said.append(tell("The reason on record: {reason}", reason=one.reason))
        yield write_line(
            KIND_OF[concern.kind],
            mark=concern.key,
            on=one.since,
            today=gathered.today,
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
