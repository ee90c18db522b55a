"""What is asked of many meetings, one after the other, while the stays they rest on are in hand."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

from breeding.animals import lineage
from breeding.animals.away.loans import loans_of
from breeding.animals.models import Animal
from breeding.animals.species.profiles import all_profiles
from breeding.health.apart.in_turn import QuarantinesInTurn
from breeding.housing.stays.everywhere import Everywhere
from breeding.housing.stays.following import Meeting
from breeding.housing.stays.shared_water import Shared
from breeding.pairings.care.eating import SignOfHarm, told_of_harm
from breeding.pairings.care.healing import open_wounds
from breeding.pairings.care.rest import last_births, own_rests, rest_days
from breeding.pairings.company.concerns import Concern
from breeding.pairings.company.doors import concerns_between, doubts_in, females_with_males
from breeding.pairings.company.known import (
    FEMALE,
    MALE,
    NO_KINSHIP,
    Kinship,
    Known,
    could_breed_since,
    kinship_of,
    known_from,
    lately_from,
    paired_of,
    windows_near,
)
from breeding.pairings.models import Outcome
from breeding.pairings.outcomes import births_of_all
from breeding.pairings.season.exposure import exposure_of
from breeding.pairings.season.facts import Ask, Together, widths_of
from breeding.pairings.season.late import may_be_late
from breeding.pairings.season.past.learned import Learned
from breeding.pairings.season.past.lessons import gather_with_lessons
from breeding.pairings.season.reading import SeasonReading, earliest_window_of, season_from
from breeding.pairings.season.whereabouts import Whereabouts
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import read_of
from breeding.program.queries import the_program

Date = datetime.date
MOST_AT_ONCE = 500  # in a tank: of more kinship is asked for each meeting by itself
OfFemale = TypeVar("OfFemale", Outcome, SignOfHarm)


class MeetingsInTurn:
    """`doubts_of_meeting` of each, by the stays in hand; of the animals all else is read once."""

    def __init__(self, animals: Mapping[int, Animal], where: Everywhere, first: Date) -> None:
        females = {key for key, one in animals.items() if one.sex == FEMALE}
        births = births_of_all(females)
        self._where, self._program = where, the_program()
        self._could_breed = could_breed_since(animals)
        self._kinship = _KinshipByTanks(where)
        self._paired = paired_of(females)
        self._births, self._rests = _by_female(births), own_rests(births)
        self._told = _by_female(told_of_harm(females))
        self._quarantines = QuarantinesInTurn(animals, where)
        self._seasons = _SeasonsInTurn(animals, where, first)

    def __call__(self, meeting: Meeting) -> list[Doubt]:
        known = self._known_of(meeting, self._kinship.of_those(meeting))
        concerns = concerns_between(meeting.coming, meeting.there, meeting.tank, known)
        return [doubt for one in concerns for doubt in doubts_in(one, meeting.field)]

    def besides_kinship(self, meeting: Meeting) -> list[Concern]:
        """What speaks against them as if none were kin."""
        known = self._known_of(meeting, NO_KINSHIP)
        return concerns_between(meeting.coming, meeting.there, meeting.tank, known)

    def _known_of(self, meeting: Meeting, kinship: Kinship) -> Known:
        on = meeting.on
        females = females_with_males(meeting.coming, meeting.there, self._could_breed, on)
        births = [birth for key in females for birth in self._births.get(key, ())]
        told = [row for key in females for row in self._told.get(key, ())]
        lately = lately_from(
            on,
            self._program,
            resting=rest_days(last_births(births, on), self._rests, self._program),
            wounds=open_wounds(told, on),
            window_opens=windows_near(self._seasons.may_be_late(females, on), on),
            quarantine=self._quarantines.of((*meeting.coming, *meeting.there), on),
            paired=self._paired,
            widths={},
        )
        return known_from(
            lately,
            self._program,
            on=on,
            could_breed=self._could_breed,
            kinship=kinship,
        )


class _SeasonsInTurn:
    """The seasons of females by the stays in hand.

    What closed seasons teach is what they taught before any of these stays was written.
    """

    def __init__(self, animals: Mapping[int, Animal], where: Everywhere, first: Date) -> None:
        self._where, self._program = where, the_program()
        self._learned: dict[tuple[str, Date], Learned] = {}  # by figures and newest closed season
        self._females = {key: one for key, one in animals.items() if one.sex == FEMALE}
        asks = [Ask(one, first) for one in self._females.values()]
        self._facts, self._closed = gather_with_lessons(asks)
        seen = {row.male_id for row in self._facts.sightings.values() if row.male_id is not None}
        where.read_beside(self._females.keys() | seen)
        more = (where.everybody() | seen) - animals.keys()
        every = {**animals, **{one.pk: one for one in read_of(Animal.every.all(), "pk", more)}}
        self._males = {key for key, one in every.items() if one.sex == MALE}
        profiles, shares = all_profiles(), lineage.current().shares
        self._together = together = replace(
            self._facts.together,
            animals={**self._facts.together.animals, **every},
            widths=widths_of(every.values()),
            figures={key: profiles.of(shares.get(key, {})) for key in every},
            loans=loans_of(list(every.values())),
        )
        about = (self._facts.past.signs, self._facts.scans, together.pairings, together.loans)
        # Of whom more is told than in whose company they were.
        self._told_of = {key for key in self._females if any(table.get(key) for table in about)}

    def may_be_late(self, females: Iterable[int], on: Date) -> Iterator[SeasonReading]:
        """The seasons of these, but of those with company alone that began too lately."""
        for female in females:
            shared = self._where.shared(female, self._males)
            first = min((one.first for one in shared), default=Date.max)
            profile = self._learned_by(female, on).profile
            if female in self._told_of or may_be_late(earliest_window_of(profile, first), on):
                yield self._of(female, shared, on)

    def _of(self, female: int, shared: Sequence[Shared], on: Date) -> SeasonReading:
        ask = Ask(self._females[female], on)
        named = {row.male_id for row in self._facts.sightings_of(ask) if row.male_id is not None}
        stays = {key: self._where.stays_of(key) for key in (female, *named)}
        whereabouts = Whereabouts(stays, self._together.loans)
        facts = replace(
            self._facts, together=self._company_of(female, shared), whereabouts=whereabouts
        )
        exposure = exposure_of(facts.together)
        return season_from(self._program, facts, exposure, self._learned_by(female, on), ask)

    def _learned_by(self, female: int, on: Date) -> Learned:
        card, newest = self._facts.figures_of(female), self._closed.newest(on)
        if (card.key, newest) not in self._learned:
            found = self._closed.learned([card], until=on)
            self._learned[card.key, newest] = found[card.key]
        return self._learned[card.key, newest]

    def _company_of(self, female: int, shared: Sequence[Shared]) -> Together:
        together = self._together
        met = {key for one in shared for key in (one.one, one.other)}
        return replace(
            together,
            pairings={key: together.pairings[key] for key in (female,) if key in together.pairings},
            shared={female: shared} if shared else {},
            figures={key: together.figures[key] for key in met},
        )


class _KinshipByTanks:
    """Kinship of those that meet in a tank, reckoned once for all that may."""

    def __init__(self, where: Everywhere) -> None:
        self._where = where
        self._of_tank: dict[int, tuple[set[int], Kinship]] = {}  # of whom it was asked, and it

    def of_those(self, meeting: Meeting) -> Kinship:
        """With every pair of this meeting."""
        keys, tank = {one.pk for one in (*meeting.coming, *meeting.there)}, meeting.tank.pk
        asked, found = self._of_tank.get(tank, (set(), None))
        if found is None or not keys <= asked:
            every = self._where.ever_in(tank) | keys
            asked = every if len(every) <= MOST_AT_ONCE else keys
            found = kinship_of(asked)
            self._of_tank[tank] = asked, found
        return found


def _by_female(rows: Iterable[OfFemale]) -> dict[int, list[OfFemale]]:
    found: dict[int, list[OfFemale]] = defaultdict(list)
    for row in rows:
        found[row.female_id].append(row)
    return found
