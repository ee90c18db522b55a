"""A breeding program played through the services, day by day, against a truth it does not see.

The truth is not the project's own model: a female mates by chance, signs follow a mating with some
delay or show by chance without one, somebody looks at every second day only, and she carries a
week longer than the figures of her species say. A keeper who reads the day's list acts on it; the
tally compares the list with what was really so. All figures of `World` are invented.
"""

import datetime
from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from breeding.agenda.lines.line import Line
from breeding.agenda.queries import the_day
from breeding.agenda.services import answer_line
from breeding.animals.models import Animal
from breeding.animals.services import change_state
from breeding.gestation.estimate import Profile
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.models import Pairing, SignKind
from breeding.pairings.season.reading import season_of
from breeding.pairings.services import (
    log_sighting,
    open_pairing,
    record_outcome,
    record_scan,
    separate,
)
from breeding.program.frame.memory import for_one_request
from breeding.program.models import Program
from tests import cast

DAY = datetime.timedelta(days=1)
ALARMS = ("separate_by", "nursery_by", "watch_from", "overdue")


@dataclass(frozen=True)
class World:
    """How the invented program goes; chances are for a day in company."""

    mates: float = 1 / 60
    mating_seen: float = 0.25  # on the day, when somebody looks
    marks_after_mating: float = 0.60  # they begin on that day or the next
    by_chance: tuple[tuple[str, float], ...] = (
        ("following", 0.10),
        ("parallel_swimming", 0.05),
        ("fresh_bite_marks", 0.03),
    )
    marks_last_days: int = 3  # at most
    looked_every_days: int = 2
    severe: float = 0.04  # of bite marks, severity 3
    entered_late: float = 0.15  # of sightings and births, by up to 5 days
    company_days: int = 45
    rest_days: int = 21
    gestation_mean_days: float = 117.0  # the species' figure is 110
    gestation_sd_days: float = 10.0
    scan: Profile = field(default_factory=Profile)  # how well a scan tells


@dataclass
class Tally:
    """What the day's list said, beside what was so."""

    females: int
    years: float
    births: int = 0
    inside: int = 0  # births from p05 to p95 of the window announced the day before
    claimed: float = 0.0  # the model's own mass of these windows, summed
    announced: int = 0  # births that had a window at all
    apart_in_time: int = 0  # births whose dam was apart before the window opened
    severe_seen: int = 0  # days with severe bites of a female still in company
    severe_told: int = 0  # severe bites for which the list said "separate now" that day
    false_alarms: int = 0  # seasons without a pregnancy for which an alarm fell due
    missed: int = 0  # births of which the list had said nothing before
    misled: int = 0  # of these, whose scan had seen nothing
    asked_of_nobody: int = 0  # lines about animals that were not there
    kinds: Counter[str] = field(default_factory=Counter)

    @property
    def coverage(self) -> float:
        return self.inside / self.announced

    @property
    def claim(self) -> float:
        return self.claimed / self.announced

    @property
    def false_alarms_a_female_and_year(self) -> float:
        return self.false_alarms / (self.females * self.years)

    def words(self) -> str:
        return (
            f"{self.females} females, {self.years:g} years: {self.births} births, "
            f"{self.inside} of {self.announced} inside the announced window "
            f"({self.coverage:.3f}; the model claims {self.claim:.3f}); apart before it opened "
            f"{self.apart_in_time} ({self.apart_in_time / max(self.births, 1):.3f}); never told of "
            f"{self.missed}, {self.misled} of them because a scan saw nothing; severe bites told "
            f"on the day {self.severe_told} of {self.severe_seen}; false alarms "
            f"{self.false_alarms} ({self.false_alarms_a_female_and_year:.2f} a female and year); "
            f"lines seen {dict(self.kinds)}"
        )


@dataclass
class Course:
    """The truth about one female's season."""

    female: Animal
    tank: Tank
    free_from: datetime.date
    pairing: Pairing | None = None
    male: Animal | None = None
    shows: dict[datetime.date, set[str]] = field(default_factory=dict)  # signs, seen or not
    apart_on: datetime.date | None = None
    mated_on: datetime.date | None = None
    born_on: datetime.date | None = None
    entered_on: datetime.date | None = None  # when the keeper writes the birth down
    alarmed: bool = False
    told: bool = False  # the list has said something of a birth to come
    scanned: bool = False


class SimulatedProgram:
    """A program of some females and a quarter as many males, each female in a tank of her own."""

    def __init__(
        self, program: Program, females: int, *, seed: int, start: datetime.date, world: World
    ) -> None:
        self.program, self.world = program, world
        self.random = np.random.default_rng(seed)
        self.start = start
        born = start - datetime.timedelta(days=2000)
        self.kinds = {kind.key: kind for kind in SignKind.objects.all()}
        self.males_tank = Tank.objects.create(name="Males")
        self.courses = []
        for number in range(females):
            tank = Tank.objects.create(name=f"Tank {number + 1}")
            female = cast.female(f"Female {number + 1}", pure="motoro", born_on=born)
            move_animal(female, tank, on=start - 10 * DAY, by=None)
            wait = int(self.random.integers(1, 60))
            self.courses.append(Course(female, tank, start + wait * DAY))
        self.free_males = []
        for number in range(max(1, females // 4)):
            male = cast.male(f"Male {number + 1}", pure="motoro", born_on=born)
            # Each in a place of his own while he is free: here only company is played.
            self.free_males.append(male)
        self.later: list[tuple[datetime.date, tuple[Course, str, datetime.date, int]]] = []
        self.pups: list[tuple[datetime.date, Animal]] = []

    def run(self, days: int) -> Tally:
        tally = Tally(len(self.courses), round(days / 365, 2))
        by_female = {course.female.pk: course for course in self.courses}
        for number in range(days):
            today = self.start + number * DAY
            for course in self.courses:
                self._live(course, today, tally)
            self._enter_late(today)
            self._sell(today)
            with for_one_request(only_reads=True):
                lines = the_day(self.program, today=today).lines
            for line in lines:
                tally.kinds[line.kind.key] += 1
                if line.animal is None or not line.animal.is_here:
                    tally.asked_of_nobody += 1
                elif (course := by_female.get(line.animal.pk)) is not None:
                    self._act(course, line, today, tally)
            for course in self.courses:
                self._give_up(course, today)
        return tally

    # -- what is so ------------------------------------------------------------------------

    def _live(self, course: Course, today: datetime.date, tally: Tally) -> None:
        if course.entered_on == today and course.born_on is not None:
            self._give_birth(course, course.born_on, today, tally)
        elif course.pairing is not None:
            self._day_together(course, today, tally)
        elif course.apart_on is None and today >= course.free_from and self.free_males:
            self._introduce(course, today)

    def _introduce(self, course: Course, today: datetime.date) -> None:
        male = self.free_males.pop(int(self.random.integers(len(self.free_males))))
        course.male = male
        move_animal(male, course.tank, on=today, by=None, sure=cast.SURE)
        course.pairing = open_pairing(
            female=course.female,
            male=male,
            introduced_on=today,
            program=self.program,
            by=None,
            today=today,
        )
        course.shows = {}

    def _day_together(self, course: Course, today: datetime.date, tally: Tally) -> None:
        self._court(course, today)
        harmed = False
        if (today - self.start).days % self.world.looked_every_days == 0:
            for key in sorted(course.shows.get(today, ())):
                severe = key == "fresh_bite_marks" and self._happens(self.world.severe)
                self._see(course, key, today, 3 if severe else 1)
                harmed = harmed or severe
        since = course.pairing.introduced_on if course.pairing else today
        if (today - since).days >= self.world.company_days:
            self._part(course, today)  # before the list is read: nothing is left to be told
        elif harmed:
            tally.severe_seen += 1

    def _court(self, course: Course, today: datetime.date) -> None:
        """What happens on a day in company, whether or not anybody looks."""
        world = self.world
        if self._happens(world.mates):
            course.mated_on = course.mated_on or today
            if self._happens(world.mating_seen):
                course.shows.setdefault(today, set()).add("copulation")
            if self._happens(world.marks_after_mating):
                self._mark(course, today + int(self.random.integers(2)) * DAY)
        for key, chance in world.by_chance:
            if self._happens(chance):
                if key == "fresh_bite_marks":
                    self._mark(course, today)
                else:
                    course.shows.setdefault(today, set()).add(key)

    def _mark(self, course: Course, first: datetime.date) -> None:
        for days in range(int(self.random.integers(self.world.marks_last_days)) + 1):
            course.shows.setdefault(first + days * DAY, set()).add("fresh_bite_marks")

    def _happens(self, chance: float) -> bool:
        return bool(self.random.random() < chance)

    def _see(self, course: Course, key: str, today: datetime.date, severity: int) -> None:
        wait = self._wait() if severity < 3 else 0
        self.later.append((today + wait * DAY, (course, key, today, severity)))

    def _enter_late(self, today: datetime.date) -> None:
        """What was seen is entered, some of it days later."""
        due = [one for one in self.later if one[0] <= today]
        self.later = [one for one in self.later if one[0] > today]
        for _, (course, key, on, severity) in due:
            at = datetime.datetime.combine(on, datetime.time(12), datetime.UTC)
            kind = self.kinds[key]
            log_sighting(
                female=course.female,
                kind=kind,
                seen_at=at,
                now=at + datetime.timedelta(days=30),
                by=None,
                male=course.male if key == "copulation" else None,
                severity=severity if kind.asks_severity else None,
            )

    def _part(self, course: Course, today: datetime.date) -> None:
        if course.pairing is None:
            return
        separate(course.pairing, on=today, today=today)
        assert course.male is not None
        move_animal(course.male, None, on=today, by=None)
        self.free_males.append(course.male)
        course.pairing, course.apart_on = None, today
        if course.mated_on is not None:
            carried = self.random.normal(
                self.world.gestation_mean_days, self.world.gestation_sd_days
            )
            course.born_on = course.mated_on + max(round(float(carried)), 60) * DAY
            course.entered_on = course.born_on + self._wait() * DAY

    def _wait(self) -> int:
        """Days until something is entered."""
        late = self.random.random() < self.world.entered_late
        return int(self.random.integers(1, 6)) if late else 0

    def _give_birth(
        self, course: Course, born_on: datetime.date, today: datetime.date, tally: Tally
    ) -> None:
        season = season_of(course.female, self.program, asof=born_on - DAY)
        window = season.estimate.announced
        tally.births += 1
        if not course.told:
            tally.missed += 1
            tally.misled += any(not scan.positive for scan in season.scans)
        if window is not None:
            tally.announced += 1
            tally.inside += window.p05 <= born_on <= window.p95
            before = season.reckon(max(season.exposed))  # nobody could have given birth yet
            assert before.due is not None
            dates, mass = before.due_distribution
            tally.claimed += float(
                sum(
                    share
                    for on, share in zip(dates, mass, strict=True)
                    if before.due.p05 <= on <= before.due.p95
                )
            )
            tally.apart_in_time += course.apart_on is not None and course.apart_on < window.p05
        litter = record_birth(
            dam=course.female,
            born_on=born_on,
            pups=[PupFacts(), PupFacts(alive=False)],
            today=today,
            by=None,
        )
        for pup in litter.pups.all():
            if pup.animal is not None:
                self.pups.append((today + 60 * DAY, pup.animal))
        self._begin_again(course, today)

    def _begin_again(self, course: Course, today: datetime.date) -> None:
        course.free_from = today + self.world.rest_days * DAY
        course.apart_on = course.mated_on = course.born_on = course.entered_on = None
        course.alarmed = course.told = course.scanned = False

    def _sell(self, today: datetime.date) -> None:
        for on, pup in [one for one in self.pups if one[0] <= today]:
            change_state(pup, state=Animal.State.LEFT, on=on)
        self.pups = [one for one in self.pups if one[0] > today]

    # -- what the keeper does with the day's list -------------------------------------------

    def _act(self, course: Course, line: Line, today: datetime.date, tally: Tally) -> None:
        kind = line.kind
        if kind.key == "separate_now":
            tally.severe_told += 1
        if kind.group == "separation" and line.on <= today:
            self._part(course, today)
        if kind.key in (*ALARMS, "perhaps_due") and line.on <= today:
            course.told = True
        if kind.key in ALARMS and line.on <= today and not course.alarmed:
            course.alarmed = True
            tally.false_alarms += course.apart_on is not None and course.mated_on is None
        if kind.key == "settle" and line.on <= today and not course.scanned:
            self._scan(course, today)
        if kind.key in ("overdue", "long_without_birth"):
            if course.mated_on is None and course.apart_on is not None:
                self._was_not(course, today)  # the veterinarian can tell
            else:
                answer_line(line.key, by=None, today=today, put_off_until=today + 3 * DAY)
        elif kind.key in ("nursery_by", "pups_on_the_floor") and line.on <= today:
            answer_line(line.key, by=None, today=today)

    def _scan(self, course: Course, today: datetime.date) -> None:
        profile = self.world.scan
        course.scanned = True
        visible = (
            course.mated_on is not None
            and (today - course.mated_on).days >= profile.scan_detectable_days
        )
        chance = profile.scan_sensitivity if visible else 1 - profile.scan_specificity
        record_scan(
            female=course.female,
            on=today,
            positive=bool(self.random.random() < chance),
            today=today,
            by=None,
        )

    def _give_up(self, course: Course, today: datetime.date) -> None:
        """A long time apart and the list silent about her: the keeper lets her season go."""
        if course.apart_on is None or (today - course.apart_on).days < 160:
            return
        if course.mated_on is None:
            self._was_not(course, today)

    def _was_not(self, course: Course, today: datetime.date) -> None:
        record_outcome(female=course.female, on=today, kind="not_pregnant", today=today, by=None)
        self._begin_again(course, today)
