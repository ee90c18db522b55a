"""What is asked of many pairs that are put together, one after the other, while nobody is moved."""

import datetime
from collections.abc import Collection, Iterator, Mapping

from breeding.animals.away.gone import is_gone_by
from breeding.animals.models import Animal
from breeding.health.holds import may_be_held
from breeding.health.in_turn import HoldsInTurn
from breeding.housing.models import Tank
from breeding.housing.stays.everywhere import Everywhere, Spent
from breeding.housing.stays.following import Meeting
from breeding.housing.stays.shared_water import share_water
from breeding.pairings.company.doors import doubts_in
from breeding.pairings.company.in_turn import MeetingsInTurn
from breeding.pairings.company.together import SAID_BY_THE_PAGE, asked_in_turn
from breeding.pairings.models import Pairing
from breeding.program.models import Program
from breeding.program.problems.doubts import Doubt

Date = datetime.date
_FIELD = "introduced_on"


class TwosInTurn:
    """`doubts_of_two` of each pair of these animals; of them all is read once but their seasons,
    which rest on the pairings: these anew after `expect`."""

    def __init__(self, animals: Mapping[int, Animal], program: Program) -> None:
        self._animals, self._where = animals, Everywhere(())
        self._where.read_beside(animals)
        self._holds = HoldsInTurn(animals, self._where, may_be_held(animals))
        self._of_rooms = asked_in_turn(animals, program)
        self._tanks = {one.pk: one for one in Tank.every.all()}
        self._expected: Collection[Pairing] = ()
        self._meetings: MeetingsInTurn | None = None

    def come_together(self, row: Pairing) -> bool:
        """Whether the two are on record in different waters on the day, so that they meet now."""
        return self._places(row) is not None

    def expect(self, rows: Collection[Pairing]) -> None:
        """Of those that come together these are asked about next; all before them are written."""
        self._expected, self._meetings = rows, None

    def doubts(self, row: Pairing) -> Iterator[Doubt]:
        female, male, on = row.female, row.male, row.introduced_on
        yield from self._holds.doubts((female, male), "breed", on, _FIELD)
        for asks in self._of_rooms:
            yield from asks(female, male, on)
        if (places := self._places(row)) is None:
            return
        hers, _ = places
        meeting = Meeting((male,), (female,), self._tanks[hers.tank_id], on, _FIELD)
        for concern in self._asked_of_meetings.besides_kinship(meeting):
            if concern.kind not in SAID_BY_THE_PAGE:
                yield from doubts_in(concern, _FIELD)

    @property
    def _asked_of_meetings(self) -> MeetingsInTurn:
        if self._meetings is None:
            keys = {key for row in self._expected for key in (row.female_id, row.male_id)}
            animals = {key: one for key, one in self._animals.items() if key in keys}
            first = min(row.introduced_on for row in self._expected)
            self._meetings = MeetingsInTurn(animals, self._where, first)
        return self._meetings

    def _places(self, row: Pairing) -> tuple[Spent, Spent] | None:
        """Where the two are at the end of the day; None where that is one water, or not known."""
        hers, his = (self._place(key, row.introduced_on) for key in (row.female_id, row.male_id))
        if hers is None or his is None or share_water(hers, his):
            return None
        return hers, his

    def _place(self, key: int, on: Date) -> Spent | None:
        """Of several the one that began first."""
        is_gone = is_gone_by(self._animals[key], on)
        there = [
            spent
            for spent in self._where.stays_of(key)
            if spent.since <= on and not (is_gone if spent.until is None else spent.until <= on)
        ]
        return min(there, key=lambda spent: spent.in_order, default=None)
