"""What the day asks of the rooms below, each question at most once a request; writes nothing."""

import datetime
from collections.abc import Callable, Mapping
from functools import cached_property

from django.db.models import Model, QuerySet

from breeding.buyers.models import STANDING, Reservation
from breeding.buyers.waiting import WishReading, openings
from breeding.health.illness.standing import lately_treated
from breeding.health.models import Treatment
from breeding.housing.water.watched import WatchedTank, watched_tanks
from breeding.litters.contradictions import Contradiction
from breeding.litters.models import Litter
from breeding.litters.queries import PupReading, young_litters
from breeding.litters.renewed import about_pups_of
from breeding.pairings.care.healing import OpenHarm, open_harm
from breeding.pairings.season.reading import SeasonReading, seasons
from breeding.planning.models import PlannedPairing
from breeding.planning.queries import unfulfilled
from breeding.program.models import Program
from breeding.program.unchanged.growing import kept_from_page_to_page
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

    @property
    def litters(self) -> list[tuple[Litter, list[PupReading]]]:
        """The litters young enough for a line, with their pups."""
        return self._of_litters[0]

    @property
    def contradicting_pups(self) -> list[Contradiction]:
        """Of all litters, those whose own record names another dam or day."""
        return self._of_litters[1]

    @cached_property
    def _of_litters(self) -> tuple[list[tuple[Litter, list[PupReading]]], list[Contradiction]]:
        return self._kept_litters()

    def _kept_litters(self) -> tuple[list[tuple[Litter, list[PupReading]]], list[Contradiction]]:
        def read() -> tuple[list[tuple[Litter, list[PupReading]]], list[Contradiction]]:
            return young_litters(self._since, asof=self.today)

        return kept_from_page_to_page(("litters", self.today), read, self.of_pups)

    @property
    def _since(self) -> datetime.date:
        return self.today - datetime.timedelta(days=LITTERS_DAYS)

    def _late_litters(self) -> QuerySet[Litter]:
        return Litter.objects.filter(withdrawn_at__isnull=True, born_on__gte=self._since)

    @property
    def of_pups(self) -> Mapping[type[Model], Callable[[int], bool]]:
        """Of rows that are added every day those that are about one of these pups."""
        return about_pups_of(self._late_litters())

    @cached_property
    def openings(self) -> list[WishReading]:
        """The wishes that a free pup fits."""

        def read() -> list[WishReading]:
            rests_on(Program)
            pups = [one for _, pups in self._kept_litters()[0] for one in pups]
            return openings(self.program, asof=self.today, among=pups)

        return kept_from_page_to_page(("openings", self.today), read, self.of_pups)

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
