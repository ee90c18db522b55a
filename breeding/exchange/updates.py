"""What a partner's file says became of animals on record: offered, written down, taken back."""

import datetime
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from django.core.exceptions import ValidationError

from breeding.animals.models import Animal, Measurement
from breeding.animals.services import add_measurement, change_state
from breeding.exchange.ancestry import Claim, Word
from breeding.exchange.ancestry.rows import A_DAY
from breeding.exchange.models import CameWith, TakenAncestry
from breeding.program.models import Person
from breeding.program.services import bring_back, withdraw
from breeding.words.days import plain_day
from breeding.words.language import message, tell
from breeding.words.stored import as_stored, stored

BY_THE_WORD = stored(message("by the word of {issuer}"))

Date = datetime.date
MOST = 200  # offered of one file


class Sure(frozenset[str]):
    """Doubts of a stranger's facts are shown before, and not asked one by one."""

    def __contains__(self, mark: object) -> bool:
        return True


@dataclass(frozen=True)
class Update:
    """One thing that a file says of an animal on record and the records do not.

    width_mm and weight_g: of a measurement, 0 where not taken; both 0: that it died.
    """

    animal: Animal
    on: Date
    width_mm: int = 0
    weight_g: int = 0

    @property
    def is_death(self) -> bool:
        return not self.width_mm and not self.weight_g

    @property
    def mark(self) -> str:
        """By what a form tells it from others."""
        return f"{self.animal.pk}.{self.on.isoformat()}.{self.width_mm}.{self.weight_g}"

    @property
    def words(self) -> str:
        """What would be written down."""
        said = {"animal": self.animal.full_name, "day": plain_day(self.on)}
        if self.is_death:
            return tell("{animal} died on {day}", **said)
        if not self.weight_g:
            return tell("{animal}, {day}: {mm} mm wide", mm=self.width_mm, **said)
        if not self.width_mm:
            return tell("{animal}, {day}: {g} g", g=self.weight_g, **said)
        return tell(
            "{animal}, {day}: {mm} mm wide, {g} g", mm=self.width_mm, g=self.weight_g, **said
        )


def updates_of(word: Word, known: Mapping[str, Animal], today: Date) -> list[Update]:
    """What a file says of animals on record that is not written down here yet. One query."""
    measured = set(
        Measurement.objects.filter(animal__in=[one.pk for one in known.values()]).values_list(
            "animal_id", "on"
        )
    )
    found: dict[str, Update] = {}
    for claim in word.claims:
        animal = known.get(claim.identity)
        if animal is not None:
            for one in _of_claim(claim, animal, today):
                if one.is_death or (animal.pk, one.on) not in measured:
                    found.setdefault(one.mark, one)
    return sorted(found.values(), key=lambda one: (one.animal.name, one.on))[:MOST]


def _of_claim(claim: Claim, animal: Animal, today: Date) -> Iterable[Update]:
    for day, width, weight in claim.measured:
        if Date.fromisoformat(day) <= today:
            yield Update(animal, Date.fromisoformat(day), width, weight)
    is_news = len(claim.died) == A_DAY and animal.state != Animal.State.DIED
    if is_news and (on := Date.fromisoformat(claim.died)) <= today:
        yield Update(animal, on)


def write_updates(
    kept: TakenAncestry, offered: Iterable[Update], marks: Collection[str], *, by: Person | None
) -> None:
    """Write down what the keeper chose, sizes before deaths. Raises ValidationError by its name."""
    chosen = [one for one in offered if one.mark in marks]
    for one in sorted(chosen, key=lambda one: one.is_death):
        try:
            _write(kept, one, by)
        except ValidationError as problem:
            raise ValidationError(
                tell("{update}: {problem}", update=one.words, problem=" ".join(problem.messages))
            ) from None


def _write(kept: TakenAncestry, one: Update, by: Person | None) -> None:
    animal = Animal.objects.get(pk=one.animal.pk)
    if one.is_death:
        CameWith.objects.create(
            taken=kept,
            animal=animal,
            state_before=animal.state,
            state_before_on=animal.state_on,
        )
        change_state(animal, state=Animal.State.DIED, on=one.on, sure=Sure(), is_asked=False, by=by)
        return
    measurement = add_measurement(
        animal,
        by=by,
        on=one.on,
        disc_width_mm=one.width_mm or None,
        weight_g=one.weight_g or None,
        note=as_stored(BY_THE_WORD, issuer=kept.issuer or kept.key[:8]),
        sure=Sure(),
    )
    CameWith.objects.create(taken=kept, animal=animal, measurement=measurement)


def take_back_updates(
    taken: TakenAncestry, *, by: Person, now: datetime.datetime, reason: str
) -> None:
    """What a file wrote down of animals that were on record goes; what was changed since stays."""
    for one in taken.updates.select_related("animal", "measurement"):
        if one.measurement is not None:
            if not one.measurement.is_withdrawn:
                withdraw(one.measurement, by=by, now=now, reason=reason)
        elif one.animal.state == Animal.State.DIED:
            back = one.state_before_on or one.animal.state_on
            assert back is not None  # noqa: S101 - its death had a day
            change_state(
                one.animal,
                state=one.state_before,
                on=back,
                sure=Sure(),
                is_asked=False,
                by=by,
                now=now,
            )


def bring_back_updates(taken: TakenAncestry, word: Word, *, by: Person | None) -> None:
    """What a file wrote down counts again: measurements, then deaths by the day it says."""
    died = {claim.identity: claim.died for claim in word.claims}
    days = {name.animal_id: died.get(name.identity, "") for name in taken.names.all()}
    rows = taken.updates.select_related("animal", "measurement")
    for one in sorted(rows, key=lambda one: one.measurement is None):
        if one.measurement is not None:
            if one.measurement.is_withdrawn:
                bring_back(one.measurement)
        elif one.animal.state != Animal.State.DIED and len(days.get(one.animal_id, "")) == A_DAY:
            on = Date.fromisoformat(days[one.animal_id])
            change_state(
                one.animal, state=Animal.State.DIED, on=on, sure=Sure(), is_asked=False, by=by
            )
