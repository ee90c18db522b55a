"""The lines of litters: pups just born, and pups that can leave."""

from collections.abc import Iterable, Iterator, Sequence

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Act, Line, and_more, write_line
from breeding.animals.models import Animal
from breeding.litters.models import Litter
from breeding.litters.queries import PupReading, said_to_be_apart
from breeding.litters.raising.lagging import lagging
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined

FRESH_DAYS = 7
MOST_NAMED = 6


def fresh_litter_lines(gathered: Gathered) -> Iterator[Line]:
    """Litters of the last days, until males are apart and every pup is measured."""
    fresh = [
        (litter, here)
        for litter, pups in gathered.litters
        if (gathered.today - litter.born_on).days <= FRESH_DAYS
        and (here := [one for one in pups if one.pup.animal and one.pup.animal.is_here])
    ]
    apart = said_to_be_apart([litter.outcome_id for litter, _ in fresh])
    for litter, here in fresh:
        unmeasured = [one for one in here if one.looked_on is None]
        is_apart = litter.outcome_id in apart
        if unmeasured or not is_apart:
            yield _fresh(litter, here, unmeasured, is_apart, gathered)


def _fresh(
    litter: Litter,
    here: Sequence[PupReading],
    unmeasured: Sequence[PupReading],
    is_apart: bool,
    gathered: Gathered,
) -> Line:
    age = (gathered.today - litter.born_on).days
    pups = tell_many(
        "{number} pup of {dam}", "{number} pups of {dam}", len(here), dam=litter.dam.name
    )
    said = [tell_many("{pups}, {number} day old.", "{pups}, {number} days old.", age, pups=pups)]
    acts = []
    if not is_apart:
        said.append(tell("Males apart from dam and pups."))
        acts.append(Act(tell("Males apart"), "litters:after", litter.pk))
    if unmeasured:
        named = joined([str(one.pup.animal) for one in unmeasured[:MOST_NAMED]])
        said.append(
            tell("Measure them.")
            if len(unmeasured) == len(here)
            else tell("Measure {names}.", names=named)
        )
        acts.append(Act(tell("Measure them"), "litters:weigh", litter.pk))
    return write_line(
        KINDS["pups_on_the_floor"],
        mark=str(litter.pk),
        on=litter.born_on,
        today=gathered.today,
        who=tell("Litter {code}", code=litter.code),
        why=" ".join(said),
        animal=litter.dam,
        page_of=litter.pk,
        facts={"litter_id": litter.pk},
        acts=(*acts, Act(tell("Open the litter"), "litters:detail", litter.pk, for_everyone=True)),
    )


def ready_to_leave_lines(gathered: Gathered) -> Iterator[Line]:
    """Litters with pups that can leave; one more that can is asked about anew."""
    for litter, pups in gathered.litters:
        here = _here(pups)
        ready = [animal for animal, is_ready in here if is_ready]
        if ready:
            yield write_line(
                KINDS["ready_to_leave"],
                mark=f"{litter.pk}:{len(ready)}",
                series_mark=str(litter.pk),
                on=gathered.today,
                today=gathered.today,
                who=tell("Litter {code}", code=litter.code),
                why=f"{_ready_words(ready, len(here))} {_held_words(pups)}".strip(),
                animal=ready[0],
                page_of=litter.pk,
                facts={"litter_id": litter.pk},
            )


def _ready_words(ready: Sequence[Animal], here: int) -> str:
    named = joined([animal.name for animal in ready[:MOST_NAMED]])
    names = and_more(named, max(len(ready) - MOST_NAMED, 0))
    some_of_all = tell_many(
        "{ready} of {number} pup", "{ready} of {number} pups", here, ready=len(ready)
    )
    return tell_many(
        "{some_of_all} is old and large enough to leave: {names}.",
        "{some_of_all} are old and large enough to leave: {names}.",
        len(ready),
        some_of_all=some_of_all,
        names=names,
    )


def lagging_lines(gathered: Gathered) -> Iterator[Line]:
    """Young ones that were measured below their own curve, or far behind their littermates.

    The mark holds the day of the measurement: an answer holds until it is measured again.
    """
    for lag in lagging(gathered.pups, asof=gathered.today, program=gathered.program):
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
    return tell("Not yet: {animals}.", animals="; ".join(said)) if said else ""


def _here(pups: Iterable[PupReading]) -> list[tuple[Animal, bool]]:
    """The pups that are here, each with whether it is ready to leave."""
    found = [(one.pup.animal, one.is_ready) for one in pups]
    return [(animal, is_ready) for animal, is_ready in found if animal and animal.is_here]
