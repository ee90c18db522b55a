"""Many stays, earlier ones and moves: each judged beside those before it, all written at once."""

import datetime
from collections.abc import Collection, Iterable, Sequence
from copy import copy
from functools import cached_property
from typing import NamedTuple

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import were_inside
from breeding.housing.room.in_turn import RoomsInTurn
from breeding.housing.room.reading import floor_of
from breeding.housing.stays.checks import check_side, spell_of_move
from breeding.housing.stays.corrections import check_days
from breeding.housing.stays.everywhere import Everywhere
from breeding.housing.stays.following import FollowingMany, Leaving, Meeting
from breeding.housing.stays.giving_way import cuts_for, give_way
from breeding.housing.stays.meetings import meeting_of_pairs, pairs_that_meet
from breeding.housing.stays.near import Stretches
from breeding.housing.stays.shared_water import place_of
from breeding.housing.stays.timeline import Cut, Spell
from breeding.program.acts.together import keep_changes, write_together
from breeding.program.models import Person
from breeding.program.parts import AT_ONCE, in_parts
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import read_of

Date = datetime.date


class ToldStay(NamedTuple):
    """A stay that is to be written down: from a day to a day, or without an end a move on a day."""

    animal: Animal
    tank: Tank
    since: Date
    until: Date | None = None
    side: str = ""
    reason: str = ""  # why in spite of what is asked


class TakenStay(NamedTuple):
    """A stay that is held; None where a reason is asked for and none is said.

    of_move: what is asked of the move by itself. of_company: of those whom it meets.
    """

    stay: Stay | None
    of_move: Sequence[Doubt] = ()
    of_company: Sequence[Doubt] = ()

    def asked(self, sure: Collection[str]) -> list[Doubt]:
        """What `sure` does not answer, as an act of its own asks it."""
        is_settled = all(one.mark in sure for one in self.of_company)
        every = self._together if self._lacks_reason or not is_settled else self.of_move
        return [one for one in every if one.mark not in sure]

    @property
    def without_reason(self) -> list[Doubt]:
        """What it was not written for."""
        if self.stay is not None:
            return []
        return self._together if self._lacks_reason else [*self.of_move]

    @property
    def _lacks_reason(self) -> bool:
        """For the company."""
        return self.stay is None and any(one.needs_reason for one in self.of_company)

    @property
    def _together(self) -> list[Doubt]:
        return [*{one.mark: one for one in (*self.of_move, *self.of_company)}.values()]


class ManyStays:
    """Stays of these animals in these tanks, and those that are to be written beside them.

    Each is held, with what it cuts of others of its animal, and all are written at once: whoever
    holds such ones calls `write` at the end. Nobody else moves the animals until the transaction
    ends.
    """

    def __init__(self, rows: Sequence[ToldStay], *, by: Person | None) -> None:
        animals = {one.animal.pk for one in rows}
        self._rows = rows
        self._by, self._first = by, min((one.since for one in rows), default=Date.max)
        self._held: dict[int, Stay] = {}  # by number, as all that follow
        self._made: list[Stay] = []  # the same as they were when they were made
        self._cut: dict[int, Stay] = {}  # of those on record
        self._steps: list[tuple[Stay, Stay, Stay]] = []  # what was changed, before and after it
        self._stays: dict[int, dict[int, Stay]] = {key: {} for key in animals}
        self._spells: dict[int, Stretches[Spell]] = {key: Stretches() for key in animals}
        self._where = Everywhere(animals)
        self._following = FollowingMany(animals, lambda: self._who, self._where, self._first)
        for keys in in_parts(sorted(animals)):
            list(Animal.objects.select_for_update().filter(pk__in=keys).values_list("pk"))
            stays = Stay.objects.filter(animal__in=keys).select_related("animal", "tank")
            for stay in stays.order_by("pk"):
                self._lay_out(self._where.number(), stay)
        for one in rows:
            self._where.expect(one.animal.pk, one.tank.pk)
        self._where.read(one.tank.pk for one in rows)

    def take(self, row: ToldStay) -> TakenStay:
        """Held, to be written. Raises ValidationError as an act of its own does."""
        if row.until is not None:
            check_days(row.animal, row.since, row.until)
        check_side(row.tank, row.side, lambda: self._others_inside(row))
        asked_of_move = [] if row.until is not None else self._asked_of_move(row)
        stood = self._stood(row.animal)
        number, stay = self._put(row)
        of_company = self._follows(number, stay)
        if row.until is None:
            asked_of_move += self._rooms(stay, self._ended(number, stay))
        asked = _to_answer(asked_of_move), _to_answer(of_company)
        is_wanted = any(one.needs_reason for some in asked for one in some)
        if is_wanted and not row.reason.strip():
            self._take_back(row.animal, stood)
            return TakenStay(None, *asked)
        self._keep_why(stay, row.reason, [*of_company, *asked_of_move])
        return TakenStay(stay, *asked)

    def write(self) -> None:
        """All that are held, in their order, and before them what is cut.

        In the history, too: undone backwards, what was left of a stay goes before it goes on.
        """
        Stay.objects.bulk_update(self._cut.values(), ["since", "until"], batch_size=AT_ONCE)
        keep_changes([(before, after) for stay, before, after in self._steps if stay.pk])
        of_new = [step for step in self._steps if step[0].pk is None]
        write_together(list(self._held.values()), as_made=self._made)
        for stay, before, after in of_new:
            before.pk = after.pk = stay.pk
        keep_changes([(before, after) for _, before, after in of_new])

    def _put(self, row: ToldStay) -> tuple[int, Stay]:
        """Its stay by number, in hand from now on, and before it those that give way."""
        spell, cuts = self._room_for(row)
        for cut in cuts:
            self._make_cut(row.animal, cut)
        stay = Stay(
            animal=row.animal,
            tank=row.tank,
            side=row.side,
            since=spell.since,
            until=spell.until,
            recorded_by=self._by,
        )
        return self._hold(stay), stay

    def _keep_why(self, stay: Stay, reason: str, asked: Sequence[Doubt]) -> None:
        """What was said of it, and the reason in spite of that: in the history a change of its own,
        as where it stands alone."""
        stay.follows = tuple(one.sentence for one in asked)
        if stay.follows and reason:
            before = copy(stay)
            stay.reason = reason
            self._steps.append((stay, before, copy(stay)))

    def _room_for(self, row: ToldStay) -> tuple[Spell, list[Cut]]:
        """From when to when it is there, and how the stays on record give way."""
        animal, place = row.animal, (row.tank.pk, row.side)
        stays, mine = self._stays[animal.pk], self._spells[animal.pk]
        if row.until is not None:
            spell = Spell(row.since, row.until, place)
            near = sorted(mine.near(row.since, row.until), key=_since)
            return spell, cuts_for(animal, stays, near, spell)
        every = sorted(mine.every(), key=_since)
        spell = spell_of_move(animal, row.tank, row.side, every, row.since)
        return spell, cuts_for(animal, stays, every, spell, is_move=True)

    def _others_inside(self, row: ToldStay) -> list[tuple[str, str]]:
        """Name and side of each other that is in its tank at the end of its first day."""
        near = self._where.near(row.tank.pk, row.since, row.since)
        sides = {
            place.animal: place.side
            for place in near
            if place.animal != row.animal.pk and (place.until is None or place.until > row.since)
        }
        return [(one.name, sides[key]) for key, one in self._named(sides).items()]

    def _asked_of_move(self, row: ToldStay) -> list[Doubt]:
        """What is asked of the move by itself, whomever it meets."""
        key = row.animal.pk
        there = were_inside(self._stays[key].values(), row.since)
        before = {key: max(there, key=_since).tank} if there else {}
        return self._following.of_move(Leaving((row.animal,), before, row.tank, row.since))

    def _lay_out(self, number: int, stay: Stay) -> None:
        """Where its animal was when, by one of its stays that is new or has other days."""
        self._stays[stay.animal_id][number] = stay
        spell = Spell(stay.since, stay.until, (stay.tank_id, stay.side), number)
        self._spells[stay.animal_id].put(number, spell, stay.since, stay.until)
        self._where.put(number, stay)

    def _hold(self, stay: Stay) -> int:
        number = self._where.number()
        self._held[number] = stay
        self._made.append(copy(stay))
        self._lay_out(number, stay)
        return number

    def _make_cut(self, animal: Animal, cut: Cut) -> None:
        """One that is on record ends or begins with the new one; after it goes on what was left."""
        key = cut.spell.key
        stay = self._stays[animal.pk][key]
        if key not in self._held:
            self._cut[key] = stay
        before = copy(stay)
        after = give_way(stay, cut)
        self._steps.append((stay, before, copy(stay)))
        if after is not None:
            after.recorded_by = self._by
            self._hold(after)
        self._lay_out(key, stay)

    def _stood(self, animal: Animal) -> "_Stood":
        """By which `_take_back` leaves them as they are now."""
        days = {key: (one.since, one.until) for key, one in self._stays[animal.pk].items()}
        return _Stood(days, len(self._made), len(self._steps))

    def _take_back(self, animal: Animal, stood: "_Stood") -> None:
        """The stays of an animal are as they stood."""
        stays = self._stays[animal.pk]
        for number in stays.keys() - stood.days.keys():
            del stays[number], self._held[number]
            self._spells[animal.pk].take_out(number)
            self._where.take_out(number)
        for number, days in stood.days.items():
            stay = stays[number]
            if (stay.since, stay.until) != days:
                stay.since, stay.until = days
                self._lay_out(number, stay)
        del self._made[stood.made :], self._steps[stood.steps :]

    def _follows(self, number: int, stay: Stay) -> list[Doubt]:
        """What follows from whom it meets by this stay."""
        meetings = self._meetings_of(number, stay)
        return self._following.of(meetings) if meetings else []

    def _ended(self, number: int, stay: Stay) -> list[Stay]:
        """Where its animal was until this one begins."""
        mine = self._stays[stay.animal_id].items()
        return [one for key, one in mine if key != number and one.until == stay.since]

    def _meetings_of(self, number: int, stay: Stay) -> list[Meeting]:
        """As `meetings_of` has them, by the stays in hand."""
        ended = self._ended(number, stay)
        left = [place_of(one) for one in ended if one.tank_id == stay.tank_id]
        since = min([stay.since, *(one.since for one in left)])
        near = self._where.near(stay.tank_id, since, stay.until)
        beside = [one for one in near if one.animal != stay.animal_id]
        if not beside:
            return []
        met = pairs_that_meet([place_of(stay)], beside, left=left)
        coming = {stay.animal_id: stay.animal}
        return [
            meeting_of_pairs(pairs, coming, self._named(_others(pairs)), stay.tank, on)
            for on, pairs in met
        ]

    @cached_property
    def _rooms(self) -> RoomsInTurn:
        """Of the tanks where room is asked of."""
        rows = [one for one in self._rows if one.until is None and floor_of(one.tank) is not None]
        tanks, coming = {one.tank.pk for one in rows}, {one.animal.pk for one in rows}
        return RoomsInTurn(self._who, self._where, tanks, coming)

    @cached_property
    def _who(self) -> dict[int, Animal]:
        """Whom one of them may meet."""
        every = self._stays.keys() | self._where.everybody()
        return {one.pk: one for one in read_of(Animal.every.all(), "pk", every)}

    def _named(self, keys: Iterable[int]) -> dict[int, Animal]:
        """These by their names."""
        return {one.pk: one for one in sorted((self._who[key] for key in keys), key=_by_name)}


class _Stood(NamedTuple):
    """How the stays of an animal stood: their days by number; so many were made and changed."""

    days: dict[int, tuple[Date, Date | None]]
    made: int
    steps: int


def _by_name(animal: Animal) -> tuple[str, str]:
    return animal.call_name, animal.code


def _to_answer(doubts: Iterable[Doubt]) -> list[Doubt]:
    return [one for one in doubts if not one.is_only_said]


def _others(pairs: Iterable[tuple[int, int]]) -> set[int]:
    return {other for _, other in pairs}


def _since(one: Spell | Stay) -> Date:
    return one.since
