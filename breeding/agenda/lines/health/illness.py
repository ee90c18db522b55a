"""The lines of whoever is not well, of treatments and holds that end, and of visits to follow."""

import datetime
from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.health.illness.first import look_again_days, words_of_kind
from breeding.health.illness.said import prescribed_words
from breeding.health.illness.standing import LATELY_DAYS, open_observations, visits_to_follow
from breeding.health.models import Observation, Treatment, Visit
from breeding.words.days import long_day
from breeding.words.language import message, tell, tell_many

LATELY = datetime.timedelta(days=LATELY_DAYS)
FIRST = message(
    "Test the water first, keep it apart where that can be done gently, take a picture, and ring "
    "an aquatic veterinarian before anything is given."
)


def unwell_lines(gathered: Gathered) -> Iterator[Line]:
    """Whoever is not well, until it is seen to be over.

    The mark holds how often a look has been due since: an answer holds until the next look is.
    """
    for one in open_observations(gathered.today):
        days = look_again_days(one.kind)
        round_ = max((gathered.today - one.since).days, 0) // days
        yield write_line(
            KINDS["unwell"],
            mark=f"{one.pk}:{round_}",
            series_mark=str(one.pk),
            on=one.since,
            today=gathered.today,
            who=one.animal.name,
            why=_unwell_words(one, days),
            animal=one.animal,
            facts={
                "what": one.get_kind_display(),
                "animal_id": one.animal_id,
                "observation_id": one.pk,
            },
        )


def _unwell_words(one: Observation, days: int) -> str:
    said = [
        tell("Since {day}.", day=long_day(one.since)),
        f"{one.note.rstrip('.')}." if one.note else "",
        words_of_kind(one.kind),
        tell(FIRST),
        tell_many("Look every day.", "Look every {number} days.", days),
    ]
    return " ".join(part for part in said if part)


def treatment_lines(gathered: Gathered) -> Iterator[Line]:
    """The last day of a treatment, as it was prescribed."""
    for one in gathered.treatments:
        if one.until is not None and one.until >= gathered.today - LATELY:
            hold = (
                tell("Those treated are held until {day}.", day=long_day(one.hold_until))
                if one.hold_until
                else tell(
                    "No day is given until which those treated are held afterwards: ask the "
                    "veterinarian."
                )
            )
            given = tell(
                "Since {day}, {prescribed}.",
                day=long_day(one.since),
                prescribed=prescribed_words(one),
            )
            why = f"{given} {hold}"
            yield _of_treatment(gathered, "treatment_ends", one, one.until, why)


def hold_lines(gathered: Gathered) -> Iterator[Line]:
    """The first day on which those treated may be sold, moved and bred again."""
    for one in gathered.treatments:
        if one.hold_until is not None and one.hold_until >= gathered.today - LATELY:
            if one.until is None:
                continue
            why = tell(
                "Treated from {first_day} to {last_day}. As far as this treatment goes they may be "
                "sold, moved and bred again; look at them first.",
                first_day=long_day(one.since),
                last_day=long_day(one.until),
            )
            yield _of_treatment(gathered, "hold_ends", one, one.hold_until, why)


def visit_lines(gathered: Gathered) -> Iterator[Line]:
    """What is to be looked at again after a veterinarian's visit, and was not since."""
    for one in visits_to_follow(gathered.today):
        name = "animal" if one.animal_id is not None else "tank"
        yield write_line(
            KINDS["visit_again" if one.animal_id is not None else "visit_again_tank"],
            mark=f"{one.pk}:{one.look_again_on}",
            series_mark=str(one.pk),
            on=one.look_again_on or one.on,
            today=gathered.today,
            who=str(one.animal or one.tank),
            why=_visit_words(one),
            animal=one.animal,
            page_of=one.animal_id or one.tank_id,
            facts={"visit_query": f"?{name}={one.animal_id or one.tank_id}"},
        )


def _visit_words(one: Visit) -> str:
    on = long_day(one.on)
    said = [
        tell("Looked at by {by} on {day}.", by=one.by, day=on)
        if one.by
        else tell("Looked at on {day}.", day=on)
    ]
    if one.found:
        said.append(tell("Found then: {found}.", found=one.found.rstrip(".")))
    return " ".join(said)


def _of_treatment(
    gathered: Gathered, kind: str, one: Treatment, on: datetime.date, why: str
) -> Line:
    return write_line(
        KINDS[kind],
        mark=f"{one.pk}:{on}",
        series_mark=str(one.pk),
        on=on,
        today=gathered.today,
        who=str(one.animal or one.tank),
        why=why,
        animal=one.animal,
        page_of=one.pk,
        facts={"remedy": one.remedy, "treatment_id": one.pk},
    )
