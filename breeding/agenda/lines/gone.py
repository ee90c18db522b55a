"""The lines of what rests on an animal that is gone: pairings, reservations, plans."""

import datetime
from collections.abc import Iterator

from django.db.models import Q

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.animals.models import Animal
from breeding.pairings.models import Pairing
from breeding.pairings.queries import HERE
from breeding.words.days import plain_day
from breeding.words.language import message, tell

NOT_HERE = ~Q(female__state=Animal.State.HERE) | ~Q(male__state=Animal.State.HERE)


def pairing_lines(gathered: Gathered) -> Iterator[Line]:
    """Open pairings of which one died, left, or is on loan: their days would go on counting."""
    found = Pairing.objects.filter(
        NOT_HERE, separated_on__isnull=True, withdrawn_at__isnull=True
    ).select_related("female", "female__portrait", "male")
    for one in found:
        away = one.male if one.female.is_here else one.female
        yield write_line(
            KINDS["pairing_of_gone"],
            mark=f"{one.pk}:{away.pk}",
            on=away.state_on or one.introduced_on,
            today=gathered.today,
            who=one.female.name,
            why=f"{_since(away)} {tell('Say since when they have been apart.')}",
            animal=one.female,
            page_of=one.pk,
            facts={"male": one.male.name, "gone": _gone(away), "pairing_id": one.pk},
        )


def promise_lines(gathered: Gathered) -> Iterator[Line]:
    """Reservations of animals that died or left otherwise: the buyer is to be told."""
    for one in gathered.reservations:
        if one.animal.state in HERE:
            continue
        yield write_line(
            KINDS["reservation_of_gone"],
            mark=str(one.pk),
            on=one.animal.state_on or gathered.today,
            today=gathered.today,
            who=one.animal.name,
            why=f"{_since(one.animal)} {tell('Tell who waits for it, and let it go.')}",
            animal=one.animal,
            facts={
                "buyer": one.contact.name,
                "gone": _gone(one.animal),
                "reservation_id": one.pk,
                "contact_id": one.contact_id,
            },
        )


def plan_lines(gathered: Gathered) -> Iterator[Line]:
    """Plans that can come to nothing any more."""
    for one in gathered.planned:
        if one.female.state in HERE and one.male.state in HERE:
            continue
        away = one.male if one.female.state in HERE else one.female
        yield write_line(
            KINDS["plan_of_gone"],
            mark=str(one.pk),
            on=away.state_on or one.not_before,
            today=gathered.today,
            who=one.female.name,
            why=f"{_since(away)} {tell('Plan otherwise, and give this one up.')}",
            animal=one.female,
            facts={"male": one.male.name, "gone": _gone(away), "planned_id": one.pk},
        )


def _gone(animal: Animal) -> str:
    said: dict[str, str] = {
        Animal.State.ON_LOAN: message("{animal} is on loan"),
        Animal.State.LEFT: message("{animal} left"),
        Animal.State.DIED: message("{animal} died"),
    }
    return tell(said[animal.state], animal=animal.name)


def _since(animal: Animal) -> str:
    on: datetime.date | None = animal.state_on
    if on is None:
        return f"{_gone(animal)}."
    said: dict[str, str] = {
        Animal.State.ON_LOAN: message("{animal} has been on loan since {day}."),
        Animal.State.LEFT: message("{animal} left on {day}."),
        Animal.State.DIED: message("{animal} died on {day}."),
    }
    return tell(said[animal.state], animal=animal.name, day=plain_day(on))
