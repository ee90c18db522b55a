"""Animals that go to somebody, one or many: judged beside what is on record, then written."""

import datetime
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from copy import copy
from typing import TypeVar

from django.core.exceptions import ValidationError

from breeding.animals.away.bound import bound
from breeding.animals.away.going import Standings
from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.buyers.cautions import Caution, Going, expecting_of, not_fit_of
from breeding.buyers.models import STANDING, HandOver, Reservation
from breeding.buyers.money import check_currency
from breeding.buyers.services import check_on_record, gone_words, locked_contacts
from breeding.health.holds import doubts_of_holds
from breeding.health.in_turn import HeldWhoGo
from breeding.housing.models import Stay
from breeding.pairings.company.doors import open_pairings
from breeding.pairings.models import Pairing
from breeding.program.acts.together import change_together, write_together
from breeding.program.models import Program
from breeding.program.problems import constraints
from breeding.program.problems.beside import at_field
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging,
    read_of,
    written_of,
)
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import joined

Date = datetime.date
Row = TypeVar("Row", HandOver, Reservation, Stay)
# What is asked of one that goes although something speaks against it, or the refusal to let it go.
Asked = Callable[[Sequence[Caution]], Iterable[Doubt]]


class Leaving:
    """Hand-overs that are to be written, no two of one animal, and what is on record of these.

    Nobody else changes the animals or the contacts until the transaction ends. gone_with_it:
    animals that are on record as gone, and were here until they were handed over.
    """

    def __init__(self, rows: Sequence[HandOver], gone_with_it: Collection[int] = ()) -> None:
        self.rows, self._gone_with_it = rows, gone_with_it
        keys = [row.animal_id for row in rows]
        self._standings = Standings(keys)
        self._contacts = locked_contacts(row.contact_id for row in rows)
        self._bound = bound(keys)
        given = HandOver.objects.filter(came_back_on__isnull=True, withdrawn_at__isnull=True)
        self._away = _of_each(read_of(given.select_related("contact"), "animal", keys))
        kept = Reservation.objects.filter(STANDING).select_related("contact", "animal")
        self._reservations = _of_each(read_of(kept, "animal", keys))
        self._pairings = open_pairings(keys)
        stays = Stay.objects.filter(until__isnull=True).select_related("tank")
        self._stays = _of_each(read_of(stays, "animal", keys))
        for row in rows:
            row.animal = self._standings.animals[row.animal_id]

    def let_go(
        self, *, program: Program, today: Date, asked: Asked, reason: str
    ) -> list[Judged[HandOver]]:
        """Write those that may be, in the order of their days, with what ends with them; what is
        asked of each as of its day is for the caller, who may take all of it back.

        reason: why although it is held, to be kept with those that are.
        """

        def may_go(row: HandOver) -> Iterator[Doubt]:
            if row.animal_id in self._gone_with_it:
                self._standings.change(row.animal, state=Animal.State.HERE, state_on=None)
            self._check(row, today)
            yield from ()

        def leaves(row: HandOver) -> Iterator[Doubt]:
            row.reason = reason.strip() if held.get(row.animal_id) else ""
            self._leave(row)
            yield from ()

        first = [self._standings.judging(row, may_go) for row in self.rows]
        going = written_of(first)
        leaving = [Going(row.animal, row.on, row.hours_expected) for row in going]
        holds = HeldWhoGo({row.animal_id: row.animal for row in going}, self._gone_with_it)
        held: dict[int, list[Doubt]] = {}
        gone: dict[int, Judged[HandOver]] = {}
        for row in going:
            its = holds.of(row.animal, row.on)
            held[row.animal_id] = list(doubts_of_holds(row.animal, its, "sell"))
            gone[row.animal_id] = self._standings.judging(row, leaves)
            if gone[row.animal_id].may_be:
                holds.goes(row.animal, row.on)
        others = not_fit_of(leaving, holds.said)
        written = written_of(list(gone.values()))
        self._end_with(written)
        with constraints.named():
            write_together(written)
        expecting = expecting_of(leaving, program)

        def judge(row: HandOver) -> Iterator[Doubt]:
            key = row.animal_id
            yield from asked([*expecting[key], *others[key]])
            yield from held[key]
            if (refusal := gone[key].refusal) is not None:
                raise refusal

        return [judging(one.record, judge) if one.may_be else one for one in first]

    def check_can_go(self, gone: HandOver) -> None:
        """Raise ValidationError for one that is not here to be given to this contact that day."""
        self._check_here(gone.animal)
        self._check_kept_for(gone)
        self._check_since_birth(gone)
        refuse_together(gone.animal, self._pairings)
        self._check_since_stay(gone)

    def _check_here(self, animal: Animal) -> None:
        """Neither gone, nor somebody else's, nor handed over already."""
        if animal.state in GONE:
            raise ValidationError(
                tell(
                    "{gone}; only an animal that is here or on loan can be handed over.",
                    gone=gone_words(animal),
                )
            )
        if words := self._bound.get(animal.pk):
            raise ValidationError(
                tell(
                    "{animal} cannot be handed over: {reasons}.",
                    animal=animal.name,
                    reasons=joined(words),
                )
            )
        if (away := self._away.get(animal.pk)) is not None:
            raise ValidationError(
                tell(
                    "{animal} is on record as handed over to {contact} on {day}; write down there "
                    "that it came back.",
                    animal=animal.name,
                    contact=away.contact,
                    day=long_day(away.on),
                )
            )

    def _check_kept_for(self, gone: HandOver) -> None:
        animal, kept = gone.animal, gone.reservation
        if kept is not None and kept.contact_id != gone.contact_id:
            raise ValidationError(
                {
                    "contact": tell(
                        "{animal} is reserved for {contact}; withdraw that reservation first.",
                        animal=animal.name,
                        contact=kept.contact,
                    )
                }
            )

    def _check_since_birth(self, gone: HandOver) -> None:
        animal = gone.animal
        if animal.born_on is not None and gone.on < animal.born_on:
            raise ValidationError(
                {
                    "on": tell(
                        "{animal} was born on {day}; it left later.",
                        animal=animal.name,
                        day=long_day(animal.born_on),
                    )
                }
            )

    def _check_since_stay(self, gone: HandOver) -> None:
        animal = gone.animal
        stay = self._stays.get(animal.pk)
        if stay is not None and stay.since > gone.on:
            raise ValidationError(
                {
                    "on": tell(
                        "{animal} is in {tank} since {day}; it cannot have left on {left_on}.",
                        animal=animal.name,
                        tank=stay.tank,
                        day=long_day(stay.since),
                        left_on=long_day(gone.on),
                    )
                }
            )

    def leave_again(self, gone: HandOver) -> None:
        """One that is on record already happened after all. Raises ValidationError as `let_go`
        would refuse it."""
        check_on_record(self._contacts[gone.contact_id])
        gone.reservation = self._reservations.get(gone.animal_id)
        self.check_can_go(gone)
        self._leave(gone)
        self._end_with([gone])

    def _check(self, gone: HandOver, today: Date) -> None:
        check_on_record(self._contacts[gone.contact_id])
        if gone.on > today:
            day = long_day(gone.on)
            raise ValidationError(
                {"on": tell("{day} is still to come; write it down that day.", day=day)}
            )
        gone.reservation = self._reservations.get(gone.animal_id)
        self.check_can_go(gone)
        check_price(gone)
        clean_of_its_own(gone)
        check_currency(gone.currency, field="currency")

    def _leave(self, gone: HandOver) -> None:
        """Its animal leaves; what it was is remembered."""
        animal = gone.animal
        gone.state_before, gone.state_before_on = animal.state, animal.state_on
        try:
            self._standings.go(animal, state=Animal.State.LEFT, on=gone.on)
        except ValidationError as problem:
            raise at_field(problem, "on") from None

    def _end_with(self, rows: Sequence[HandOver]) -> None:
        """Their stays end, and their reservations are fulfilled."""
        stays = [self._ended(row) for row in rows if row.animal_id in self._stays]
        change_together(stays, ("until",))
        kept = [_fulfilled(one, row.on) for row in rows if (one := row.reservation)]
        change_together(kept, ("fulfilled_on",))
        self._standings.write()

    def _ended(self, gone: HandOver) -> tuple[Stay, Stay]:
        stay = self._stays[gone.animal_id]
        stay.animal = gone.animal
        before = copy(stay)
        stay.until = gone.on
        return before, stay


def _fulfilled(reservation: Reservation, on: Date) -> tuple[Reservation, Reservation]:
    before = copy(reservation)
    reservation.fulfilled_on = on
    return before, reservation


def _of_each(rows: Iterable[Row]) -> dict[int, Row]:
    """By the animal; of several the first."""
    found: dict[int, Row] = {}
    for row in rows:
        found.setdefault(row.animal_id, row)
    return found


def check_not_together(animal: Animal) -> None:
    """Raise ValidationError, naming the other, for one whose pairing is open."""
    refuse_together(animal, open_pairings([animal.pk]))


def refuse_together(animal: Animal, going_on: Mapping[int, Sequence[Pairing]]) -> None:
    """The same by the open pairings of each."""
    for pairing in going_on.get(animal.pk, ()):
        other = pairing.male if pairing.female_id == animal.pk else pairing.female
        raise ValidationError(
            tell(
                "{animal} is together with {other}; take them apart first.",
                animal=animal.name,
                other=other.name,
            )
        )


def check_price(gone: HandOver) -> None:
    if gone.price is not None and not gone.currency:
        raise ValidationError({"currency": tell("In which currency? Three letters, like EUR.")})
    if gone.price is None:
        gone.currency = ""
