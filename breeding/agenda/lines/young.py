"""The lines of litters: pups just born, and pups that can leave."""

from collections.abc import Iterable, Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.animals.models import Animal
from breeding.litters.lagging import lagging
from breeding.litters.queries import PupReading
from breeding.words.numbers import counted, joined, one_or_more

FRESH_DAYS = 7
MOST_NAMED = 6


def fresh_litter_lines(gathered: Gathered) -> Iterator[Line]:
    """Litters of the last days, to be looked after."""
    for litter, pups in gathered.litters:
        age = (gathered.today - litter.born_on).days
        here = _here(pups)
        if here and age <= FRESH_DAYS:
            yield write_line(
                KINDS["pups_on_the_floor"],
                mark=str(litter.pk),
                on=litter.born_on,
                today=gathered.today,
                who=f"Litter {litter.code}",
                why=f"{counted(len(here), 'pup')} of {litter.dam.name}, "
                f"{counted(age, 'day')} old. Males apart from dam and pups; measure them.",
                animal=litter.dam,
                page_of=litter.pk,
                facts={"litter_id": litter.pk},
            )


def ready_to_leave_lines(gathered: Gathered) -> Iterator[Line]:
    """Litters with pups that can leave; one more that can is asked about anew."""
    for litter, pups in gathered.litters:
        here = _here(pups)
        ready = [animal for animal, is_ready in here if is_ready]
        if ready:
            names = joined([animal.name for animal in ready[:MOST_NAMED]])
            more = f" and {len(ready) - MOST_NAMED} more" if len(ready) > MOST_NAMED else ""
            yield write_line(
                KINDS["ready_to_leave"],
                mark=f"{litter.pk}:{len(ready)}",
                series_mark=str(litter.pk),
                on=gathered.today,
                today=gathered.today,
                who=f"Litter {litter.code}",
                why=f"{len(ready)} of {counted(len(here), 'pup')} "
                f"{one_or_more(len(ready), 'is', 'are')} old and large enough to leave: "
                f"{names}{more}.{_held_words(pups)}",
                animal=ready[0],
                page_of=litter.pk,
                facts={"litter_id": litter.pk},
            )


def lagging_lines(gathered: Gathered) -> Iterator[Line]:
    """Young ones that were measured below their own curve, or far behind their littermates.

    The mark holds the day of the measurement: an answer holds until it is measured again.
    """
    for lag in lagging(gathered.pups, asof=gathered.today, unit=gathered.program.length_unit):
        yield write_line(
            KINDS["lagging"],
            mark=f"{lag.animal.pk}:{lag.measured_on.isoformat()}",
            series_mark=str(lag.animal.pk),
            on=lag.measured_on,
            today=gathered.today,
            who=lag.animal.name,
            why=" ".join(lag.sentences),
            animal=lag.animal,
            facts={"animal_id": lag.animal.pk},
        )


def _held_words(pups: Iterable[PupReading]) -> str:
    """Who is not among them because it stays, and why."""
    held = [one for one in pups if one.decided.is_held_back and one.pup.animal]
    said = [f"{one.pup.animal}: {one.decided.words}" for one in held[:MOST_NAMED]]
    return f" Not {'; '.join(said)}." if said else ""


def _here(pups: Iterable[PupReading]) -> list[tuple[Animal, bool]]:
    """The pups that are here, each with whether it is ready to leave."""
    found = [(one.pup.animal, one.is_ready) for one in pups]
    return [(animal, is_ready) for animal, is_ready in found if animal and animal.is_here]
