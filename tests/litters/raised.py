"""Thirty young of three litters raised for a year, day by day: what the day says of each, and when.

Their growth, what they leave and when they fall ill is known; they are fed daily and weighed once
a week, with the errors of a keeper's hand. Nothing here is from a real animal. The thresholds of
the alarms were chosen on the seeds 11 to 20: what they are worth is read from others.
"""

import datetime
import math
import random
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

from django.utils import timezone

from breeding.agenda.gathered import Gathered
from breeding.agenda.lines.feeding import leaving_food_lines, silent_lines
from breeding.agenda.lines.health.harmed import fasting_lines
from breeding.agenda.lines.young import lagging_lines
from breeding.agenda.queries import Source
from breeding.animals.models import Animal, Measurement
from breeding.feeding.models import Feeding, Food, Meal
from breeding.housing.models import Stay, Tank
from breeding.litters.births.facts import PupFacts
from breeding.litters.services import record_birth
from breeding.program.frame.memory import for_one_request
from breeding.program.models import Person
from tests import cast

DAY = datetime.timedelta(days=1)
DAYS, WEEK = 364, 7
LITTERS, PUPS = 3, 10
FIRST_FOOD_DAYS = 3
FINAL_MM, BIRTH_MM, RATE = 450.0, 95.0, 1.1  # of a year; captive young grow faster than wild ones
WIDTH_ERROR, WEIGHT_ERROR = 0.008, 0.02  # of the measure, one standard deviation
LEAVES_A_MEAL, NOBODY_SAW = 0.01, 0.05  # of the meals of a healthy young one
WELL_AGAIN_DAYS = 28  # after an illness a line may still speak of it
EVERY_DAY = (fasting_lines, silent_lines, leaving_food_lines)
WHEN_WEIGHED = (lagging_lines,)
Told = dict[tuple[int, str], str]  # by pup and kind of line the key of the line


@dataclass(frozen=True)
class Illness:
    """What one young one has: from which day on, for how long, and what it does to it.

    leaves: the share of meals it leaves. gains: what is left of its growth in width, 0 to 1.
    loses: the share of its weight that it loses a day.
    """

    pup: int
    begins: int
    days: int
    leaves: float = 0.0
    gains: float = 0.0
    loses: float = 0.0

    @property
    def words(self) -> str:
        """What it is, for a table."""
        if self.leaves:
            return f"leaves {self.leaves:.0%} of its meals"
        if self.loses:
            return "thins, grows wider as before" if self.gains else "wastes though it eats"
        return f"grows at {self.gains:.0%} of its pace" if self.gains else "stops growing"

    def covers(self, day: int, *, after: int = 0) -> bool:
        return self.begins <= day < self.begins + self.days + after


@dataclass(frozen=True)
class World:
    """What may differ from the world that the tool reckons with.

    error: so many times the errors of hand and scale. missed: weeks in which nobody weighs.
    is_gompertz: growth is of another form, slow at first. is_fed: whether meals are written down.
    """

    error: float = 1.0
    missed: frozenset[int] = frozenset()
    is_gompertz: bool = False
    is_fed: bool = True


# Refuses food; refuses most of it and thins; wastes though it eats; stops growing; thins though it
# grows wider as before; grows at less than half its pace.
ILLNESSES = (
    Illness(2, 40, 10, leaves=1.0, loses=0.008),
    Illness(7, 90, 14, leaves=0.9, loses=0.01),
    Illness(11, 120, 12, leaves=1.0, loses=0.008),
    Illness(14, 150, 14, leaves=0.7, loses=0.008),
    Illness(18, 75, 35, loses=0.008),
    Illness(21, 140, 35, loses=0.008),
    Illness(25, 60, 70),
    Illness(28, 110, 70),
    Illness(5, 130, 35, gains=1.0, loses=0.008),
    Illness(23, 100, 70, gains=0.4),
)


@dataclass
class Heard:
    """What was said: by pup the days and kinds of its lines, and the alarms that were false."""

    noticed: dict[Illness, tuple[int, str]] = field(default_factory=dict)
    false: list[tuple[int, int, str]] = field(default_factory=list)  # day, pup, kind

    days: int = DAYS

    @property
    def false_a_week(self) -> float:
        """For all of the young together."""
        return len(self.false) * WEEK / self.days

    def notice(self, one: Illness, day: int, told: Told, old: Collection[str]) -> None:
        """Whether a line speaks of it that did not stand before it began."""
        kinds = [kind for (pup, kind), key in told.items() if pup == one.pup and key not in old]
        if kinds:
            self.noticed[one] = (day - one.begins, min(kinds))

    def rows(self) -> list[str]:
        """The table, a line each."""
        said = []
        for one in ILLNESSES:
            days, kind = self.noticed.get(one, (-1, "never"))
            after = f"after {days} days, {kind}" if days >= 0 else kind
            said.append(f"  from day {one.begins:>3}: {one.words:<30} {after}")
        kinds = sorted({kind for *_, kind in self.false})
        of = ", ".join(f"{sum(k == one for *_, k in self.false)} {one}" for one in kinds)
        said.append(f"  false alarms: {self.false_a_week:.2f} a week for {LITTERS * PUPS} ({of})")
        return said


class Year:
    """The simulated year; the same seed gives the same one."""

    def __init__(self, by: Person, first: datetime.date, seed: int, world: World) -> None:
        self.by, self.first, self.world = by, first, world
        self.chance = random.Random(seed)
        self.food = Food.objects.create(name="Tank worms", recorded_by=by)
        self.tanks: list[Tank] = []
        self.pups: list[Animal] = []
        for number in range(LITTERS):
            self._litter(number)
        vary = [self.chance.gauss(1, 0.06) for _ in self.pups]
        self.rates = [RATE * one for one in vary]
        self.widths = [BIRTH_MM * self.chance.gauss(1, 0.03) for _ in self.pups]
        self.by_measure: Told = {}
        self.flesh = [1.0] * len(self.pups)  # weight for its width, 1 as it should be

    def _litter(self, number: int) -> None:
        dam = cast.female(f"Dam {number}", pure="motoro")
        litter = record_birth(
            dam=dam,
            born_on=self.first,
            pups=[PupFacts(sex="FM"[n % 2]) for n in range(PUPS)],
            today=self.first,
            by=self.by,
        )
        tank = Tank.objects.create(name=f"Nursery {number}", kind="growing")
        pups = [one.animal for one in litter.pups.order_by("number") if one.animal]
        Stay.objects.filter(animal__in=pups).delete()
        for one in pups:
            Stay.objects.create(animal=one, tank=tank, since=self.first, recorded_by=self.by)
        self.tanks.append(tank)
        self.pups += pups

    def ill(self, pup: int, day: int) -> Illness | None:
        return next((one for one in ILLNESSES if one.pup == pup and one.covers(day)), None)

    def live(self, day: int) -> None:
        """One day of each: it grows, or does not."""
        for pup, width in enumerate(self.widths):
            one = self.ill(pup, day)
            gain = self._gain(width, self.rates[pup] / 365)
            self.widths[pup] += gain * (one.gains if one else 1.0)
            if one is None:
                self.flesh[pup] = min(1.0, self.flesh[pup] * 1.01)
            else:
                self.flesh[pup] *= 1 - one.loses

    def _gain(self, width: float, rate: float) -> float:
        """In mm a day, by its rate a day."""
        if self.world.is_gompertz:
            return width * math.log(FINAL_MM / width) * (1 - math.exp(-2 * rate))
        return (FINAL_MM - width) * (1 - math.exp(-rate))

    def feed(self, day: int) -> None:
        """One round a tank, and what each made of it."""
        if day < FIRST_FOOD_DAYS or not self.world.is_fed:
            return
        at = timezone.make_aware(
            datetime.datetime.combine(self.first + day * DAY, datetime.time(18))
        )
        meals = []
        for number, tank in enumerate(self.tanks):
            round_ = Feeding.objects.create(
                food=self.food, fed_at=at, tank=tank, amount_g=20, recorded_by=self.by
            )
            for pup in range(number * PUPS, (number + 1) * PUPS):
                took = self._took(pup, day)
                meals.append(Meal(feeding=round_, animal=self.pups[pup], fed_at=at, took=took))
        Meal.objects.bulk_create(meals)

    def _took(self, pup: int, day: int) -> str:
        one = self.ill(pup, day)
        leaves = max(one.leaves if one else 0.0, LEAVES_A_MEAL)
        if self.chance.random() < leaves:
            return "none"
        return "unseen" if self.chance.random() < NOBODY_SAW else "all"

    def weigh(self, day: int) -> None:
        """All of them, with the errors of a hand and a scale."""
        rows, error = [], self.world.error
        for pup, width in enumerate(self.widths):
            weight = 0.0586 * (width / 10) ** 2.9285 * self.flesh[pup]
            rows.append(
                Measurement(
                    animal=self.pups[pup],
                    on=self.first + day * DAY,
                    disc_width_mm=round(width * self.chance.gauss(1, error * WIDTH_ERROR)),
                    weight_g=round(weight * self.chance.gauss(1, error * WEIGHT_ERROR)),
                    recorded_by=self.by,
                )
            )
        Measurement.objects.bulk_create(rows)

    def is_weighed(self, day: int) -> bool:
        return day % WEEK == 0 and day // WEEK not in self.world.missed

    def in_the_morning(self, day: int) -> Told:
        """Of whom the day speaks before anybody is fed, and how: what was left until yesterday."""
        return self._said(EVERY_DAY, day) if self.world.is_fed else {}

    def by_measures(self, day: int) -> Told:
        """And by the weighings; what rests on these alone stays as it is until the next ones."""
        if self.is_weighed(day):
            self.by_measure = self._said(WHEN_WEIGHED, day)
        return self.by_measure

    def _said(self, sources: Sequence[Source], day: int) -> Told:
        """The lines that stand on that day, read as a page reads them."""
        gathered = Gathered(cast.the_program(), self.first + day * DAY)
        place = {one.pk: pup for pup, one in enumerate(self.pups)}
        with for_one_request(only_reads=True):
            return {
                (place[line.animal.pk], line.kind.key): line.key
                for source in sources
                for line in source(gathered)
                if line.animal is not None
                and line.animal.pk in place
                and (line.on - gathered.today).days <= line.kind.days_ahead
            }


def raise_them(
    by: Person,
    first: datetime.date,
    *,
    seed: int = 1,
    days: int = DAYS,
    world: World | None = None,
) -> Heard:
    """Live through the year; an alarm that goes on is one alarm.

    A line that stood before an illness began has not noticed it.
    """
    year, heard = Year(by, first, seed, world or World()), Heard(days=days)
    before: Told = {}
    old: dict[Illness, set[str]] = {}
    for day in range(days):
        year.live(day)
        told = year.in_the_morning(day)
        year.feed(day)
        if year.is_weighed(day):
            year.weigh(day)
        told |= year.by_measures(day)
        for one in ILLNESSES:
            if one.begins == day:
                old[one] = set(before.values())
            if one.covers(day) and one not in heard.noticed:
                heard.notice(one, day, told, old[one])
        for pup, kind in sorted(told.keys() - before.keys()):
            if not any(
                one.pup == pup and one.covers(day, after=WELL_AGAIN_DAYS) for one in ILLNESSES
            ):
                heard.false.append((day, pup, kind))
        before = told
    return heard
