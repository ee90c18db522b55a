"""The lines of quarantine whose days are over, and of those that died."""

import datetime
from collections.abc import Iterator, Sequence

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, and_more, write_line
from breeding.health.apart.standing import everybody_apart
from breeding.health.dying.lately import DiedBeside, died_beside_others, died_untold
from breeding.health.quarantine import Quarantined
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import some
from breeding.words.style import capital

MOST_NAMED = 6


def quarantine_lines(gathered: Gathered) -> Iterator[Line]:
    """Of each water one line for all whose days are over; a new clock is asked about anew."""
    for group in everybody_apart(gathered.today):
        done = [one for one in group.those if one.is_done_on(gathered.today)]
        if not done:
            continue
        first = done[0]
        yield write_line(
            KINDS["quarantine_over"],
            mark=f"{first.animal.pk}:{first.until}:{len(done)}",
            series_mark=str(first.animal.pk),
            on=max(one.until for one in done),
            today=gathered.today,
            who=and_more(first.animal.name, len(done) - 1),
            why=_over_words(done, [str(tank) for tank in group.tanks]),
            animal=first.animal,
            facts={"animal_id": first.animal.pk},
        )


def _over_words(done: Sequence[Quarantined], tanks: Sequence[str]) -> str:
    said = [f"{capital(done[0].days_words)}."]
    if tanks:
        said.append(tell("In {tanks}.", tanks=some(tanks, 3)))
    if done[1:]:
        names = some([one.animal.name for one in done], MOST_NAMED)
        said.append(tell("All of them: {names}.", names=names))
    said.append(tell("Until it ends, none of them is sold or bred."))
    return " ".join(said)


def death_in_water_lines(gathered: Gathered) -> Iterator[Line]:
    """For some days after a death, each day: those who shared its water are looked at."""
    for one in died_beside_others(gathered.today):
        yield write_line(
            KINDS["died_in_water"],
            mark=f"{one.animal.pk}:{one.tank.pk}:{gathered.today}",
            series_mark=f"{one.animal.pk}",
            on=one.died_on,
            today=gathered.today,
            who=str(one.tank),
            why=_death_words(one),
            animal=one.others[0],
            page_of=one.tank.pk,
            facts={"dead": one.animal.name, "tank_id": one.tank.pk},
        )


def _death_words(one: DiedBeside) -> str:
    said = {
        "animal": one.animal.name,
        "day": long_day(one.died_on),
        "cause": one.cause,
        "others": some([other.name for other in one.others], MOST_NAMED),
    }
    if one.cause:
        return tell(
            "{animal} died on {day} ({cause}). In the water now: {others}. Do they eat, breathe "
            "quietly, hide? Test the water.",
            **said,
        )
    return tell(
        "{animal} died on {day}. In the water now: {others}. Do they eat, breathe quietly, hide? "
        "Test the water.",
        **said,
    )


def untold_death_lines(gathered: Gathered) -> Iterator[Line]:
    """Who died lately, by whichever door it was said, and nobody wrote down how."""
    for animal in died_untold(gathered.today):
        on: datetime.date = animal.state_on or gathered.today
        yield write_line(
            KINDS["how_it_died"],
            mark=str(animal.pk),
            on=on,
            today=gathered.today,
            who=animal.name,
            why=tell(
                "Died on {day}. Write down what happened before, what was found, and what it is "
                "thought to have died of: all that is soon forgotten.",
                day=long_day(on),
            ),
            animal=animal,
            facts={"animal_id": animal.pk},
        )
