"""The lines of whoever was hurt or refuses food: looked at again until it is over."""

import datetime
from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.agenda.lines.once import written_once
from breeding.pairings.care.healing import Fast, OpenHarm, OpenWound
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many

FOOD_DAYS = 1  # food is offered again the next day; an assumption


def healing_lines(gathered: Gathered) -> Iterator[Line]:
    """Marks to look at again, alone or in company, until a look finds none; light ones less often.

    The mark holds the latest look and how often it has been due since: an answer holds until the
    next look is due, and another look is another line.
    """

    def write(harm: OpenHarm) -> Iterator[Line]:
        if (wound := harm.wound) is not None:
            kind = "look_again" if wound.is_more_than_light else "look_again_light"
            yield _line(gathered, harm, kind, wound.look_again_on, wound.look_again_days)

    yield from written_once("wounds", gathered, gathered.open_harm.values(), write)


def fasting_lines(gathered: Gathered) -> Iterator[Line]:
    """Whoever refused food and was not seen eating since."""
    for harm in gathered.open_harm.values():
        if (fast := harm.fast) is not None:
            due_on = fast.seen_on + datetime.timedelta(days=FOOD_DAYS)
            yield _line(gathered, harm, "off_food", due_on, FOOD_DAYS)


def _line(gathered: Gathered, harm: OpenHarm, kind: str, due_on: datetime.date, days: int) -> Line:
    animal, about = harm.animal, harm.fast if kind == "off_food" else harm.wound
    since = about.mark if isinstance(about, Fast) else about.sighting.pk if about else 0
    round_ = max((gathered.today - due_on).days, 0) // days
    return write_line(
        KINDS[kind],
        mark=f"{animal.pk}:{since}:{round_}",
        series_mark=str(animal.pk),
        on=due_on,
        today=gathered.today,
        who=animal.name,
        why=_why(about, days),
        animal=animal,
        facts={"animal_id": animal.pk},
    )


def _why(about: OpenWound | Fast | None, days: int) -> str:
    if isinstance(about, Fast):
        return tell(
            "Off food since {since}, last seen so on {seen_on}. Test the water, offer food "
            "again, and say whether it was taken. One that stays off food needs an aquatic "
            "veterinarian.",
            since=long_day(about.since),
            seen_on=long_day(about.seen_on),
        )
    if about is None:
        return ""
    said = [
        tell(
            "Marks since {since}, {degree} at the last look on {looked_on}.",
            since=long_day(about.since),
            degree=about.degree_words,
            looked_on=long_day(about.looked_on),
        )
    ]
    if about.worst is not None and about.worst != about.severity:
        said.append(tell("At the worst: severity {worst}.", worst=about.worst))
    said.append(
        tell_many(
            "Look every day, until there is none to be seen.",
            "Look every {number} days, until there is none to be seen.",
            days,
        )
    )
    return " ".join(said)
