"""What the day asks of the rooms below, each question at most once a request; writes nothing."""

import datetime
from collections.abc import Mapping
from functools import cached_property

from django.db.models import Model

from breeding.animals.models import Animal, Measurement
from breeding.buyers.models import STANDING, HandOver, Reservation
from breeding.buyers.openings import openings_of
from breeding.buyers.waiting import WishReading, standing_and_met
from breeding.feeding.models import Feeding, Meal
from breeding.health.illness.standing import lately_treated
from breeding.health.models import Treatment
from breeding.housing.models import Stay, WaterTest
from breeding.housing.water.watched import WatchedTank, watched_tanks
from breeding.litters.contradictions import Contradiction
from breeding.litters.queries import PupReading, Young, contradicting_pups, young_litters
from breeding.pairings.care.healing import OpenHarm, open_harm
from breeding.pairings.models import Sighting
from breeding.pairings.season.reading import SeasonReading, seasons
from breeding.planning.models import PlannedPairing
from breeding.planning.queries import unfulfilled
from breeding.program.models import Program
from breeding.program.unchanged.growing import OneAndTheSame, ReadPart, kept_from_page_to_page
from breeding.program.unchanged.marks import rests_on

LITTERS_DAYS = 400


class Gathered:
    """The facts that several kinds of lines share, as of one day; read when first asked for.

    A kind of line that alone needs a fact asks its room for it itself.
    """

    def __init__(self, program: Program, today: datetime.date) -> None:
        self.program, self.today = program, today

    @cached_property
    def every_season(self) -> list[SeasonReading]:
        """Of each female that was ever with a male, seen or scanned."""
        return seasons(self.program, asof=self.today)

    @cached_property
    def seasons(self) -> list[SeasonReading]:
        """The females with something to follow."""
        return [one for one in self.every_season if one.is_live]

    @cached_property
    def open_harm(self) -> dict[int, OpenHarm]:
        """Marks not seen healed and food not seen taken, of everybody who is here."""
        return open_harm(asof=self.today, here_only=True)

    @cached_property
    def treatments(self) -> list[Treatment]:
        """Those that go on or hold somebody, or did until lately."""
        return lately_treated(self.today)

    @cached_property
    def tanks(self) -> list[WatchedTank]:
        """The tanks with animals in them, and their water."""
        return watched_tanks(self.program, asof=self.today)

    @cached_property
    def litters(self) -> list[Young]:
        """The litters young enough for a line, with their pups."""
        since = self.today - datetime.timedelta(days=LITTERS_DAYS)
        return young_litters(since, asof=self.today)

    @property
    def by_litters(self) -> Mapping[type[Model], ReadPart]:
        """Of rows that are written every day, what rests on these litters alone rests on."""
        return dict.fromkeys(
            (Sighting, Meal, Feeding, Stay, WaterTest), lambda: OneAndTheSame(self.litters)
        )

    @cached_property
    def contradicting_pups(self) -> list[Contradiction]:
        """Of all litters, those whose own record names another dam or day."""
        return kept_from_page_to_page("contradicting pups", contradicting_pups)

    @cached_property
    def openings(self) -> list[WishReading]:
        """The wishes that a free pup fits."""

        more: tuple[type[Model], ...] = (Measurement, Animal, HandOver)
        of_these = (*self.by_litters, *more)
        same = dict.fromkeys(of_these, lambda: OneAndTheSame((*self.litters, standing_and_met())))

        def litters() -> list[Young]:
            """Asked for again where they are needed, so that it is noted what they rest on."""
            return Gathered(self.program, self.today).litters

        def read() -> list[WishReading]:
            rests_on(Program)
            return openings_of(litters, same, self.program, asof=self.today)

        return kept_from_page_to_page(("openings", self.today), read, parts=same)

    @cached_property
    def reservations(self) -> list[Reservation]:
        """Those that stand, of animals that are here and of those that are gone."""
        found = Reservation.objects.filter(STANDING)
        return list(found.select_related("animal", "animal__portrait", "contact"))

    @cached_property
    def planned(self) -> list[PlannedPairing]:
        """Plans that nobody fulfilled or gave up."""
        return list(unfulfilled())

    @property
    def pups(self) -> list[PupReading]:
        return [one for _, pups in self.litters for one in pups]
