"""The lines of quarantine whose days are over, and of those that died."""

import datetime
from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.health.apart.standing import everybody_apart
from breeding.health.dying.lately import died_beside_others, died_untold
from breeding.words.days import long_day
from breeding.words.numbers import some

MOST_NAMED = 6


def quarantine_lines(gathered: Gathered) -> Iterator[Line]:
    """Of each water one line for all whose days are over; a new clock is asked about anew."""
    for group in everybody_apart(gathered.today):
        done = [one for one in group.those if one.is_done_on(gathered.today)]
        if not done:
            continue
        first = done[0]
        where = f" In {some([str(tank) for tank in group.tanks], 3)}." if group.tanks else ""
        names = some([one.animal.name for one in done], MOST_NAMED)
        all_of_them = f" All of them: {names}." if done[1:] else ""
        yield write_line(
            KINDS["quarantine_over"],
            mark=f"{first.animal.pk}:{first.until}:{len(done)}",
            series_mark=str(first.animal.pk),
            on=max(one.until for one in done),
            today=gathered.today,
            who=first.animal.name + (f" and {len(done) - 1} more" if done[1:] else ""),
            why=f"{first.days_words[0].upper()}{first.days_words[1:]}.{where}{all_of_them} "
            "Until it is ended none of them is sold or bred.",
            animal=first.animal,
            facts={"animal_id": first.animal.pk},
        )


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
            why=f"{one.animal.name} died on {long_day(one.died_on)}"
            f"{f' ({one.cause})' if one.cause else ''}. In the water now: "
            f"{some([other.name for other in one.others], MOST_NAMED)}. Do they eat, breathe "
            "quietly, hide? Test the water.",
            animal=one.others[0],
            page_of=one.tank.pk,
            facts={"dead": one.animal.name, "tank_id": one.tank.pk},
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
            why=f"Died on {long_day(on)}. What happened before, what was found, what it is "
            "thought to have died of: it is soon forgotten.",
            animal=animal,
            facts={"animal_id": animal.pk},
        )
