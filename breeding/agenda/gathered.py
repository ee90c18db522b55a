"""What the day asks of the rooms below, each question at most once a request; writes nothing."""

import datetime
from collections.abc import Callable
from functools import cached_property

from django.db.models import Model, QuerySet

from breeding.buyers.models import STANDING, Reservation
from breeding.buyers.waiting import WishReading, openings
from breeding.feeding.models import Feeding, Meal
from breeding.health.illness.standing import lately_treated
from breeding.health.models import Treatment
from breeding.housing.water.watched import WatchedTank, watched_tanks
from breeding.litters.models import Litter, Pup
from breeding.litters.queries import PupReading, pups_of
from breeding.pairings.care.healing import OpenHarm, open_harm
from breeding.pairings.models import Sighting
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

    @cached_property
    def litters(self) -> list[tuple[Litter, list[PupReading]]]:
        """The litters young enough for a line, with their pups."""
        return kept_from_page_to_page(("litters", self.today), self._litters, self._of_pups)

    def _litters(self) -> list[tuple[Litter, list[PupReading]]]:
        litters = list(self._late_litters().select_related("dam", "dam__portrait"))
        pups = pups_of(litters, asof=self.today)
        return [(litter, pups.get(litter.pk, [])) for litter in litters]

    def _late_litters(self) -> QuerySet[Litter]:
        since = self.today - datetime.timedelta(days=LITTERS_DAYS)
        return Litter.objects.filter(withdrawn_at__isnull=True, born_on__gte=since)

    @property
    def _of_pups(self) -> dict[type[Model], Callable[[int], bool]]:
        """Of rows that are added every day those that are about one of these pups."""
        pups = Pup.objects.filter(litter__in=self._late_litters(), animal__isnull=False)

        def seen(last: int) -> bool:
            rows = Sighting.objects.filter(pk__gt=last)
            return pups.filter(animal__in=rows.values("female")).exists()

        def fed(last: int) -> bool:
            return pups.filter(
                animal__in=Meal.objects.filter(pk__gt=last).values("animal")
            ).exists()

        return {Sighting: seen, Meal: fed, Feeding: lambda _: False}

    @cached_property
    def openings(self) -> list[WishReading]:
        """The wishes that a free pup fits."""

        def read() -> list[WishReading]:
            rests_on(Program)
            pups = [one for _, pups in self._litters() for one in pups]
            return openings(self.program, asof=self.today, among=pups)

        return kept_from_page_to_page(("openings", self.today), read, self._of_pups)

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
