"""What is read of a quarantine beside what was said of it by word: stays, illnesses, treatments."""

import datetime
from collections.abc import Collection, Iterable
from typing import Protocol

from django.db.models import Q

from breeding.health.illness.first import health_file
from breeding.health.models import Observation, Treatment
from breeding.housing.models import Stay

Date = datetime.date


class Records(Protocol):
    """The rows as of a day, each kind by its first days; stays with their tanks and animals."""

    def stays_of(self, animals: Collection[int], on: Date) -> Iterable[Stay]:
        """Theirs that had begun."""

    def stays_in(
        self, tanks: Collection[int], systems: Collection[int], first: Date, on: Date
    ) -> Iterable[Stay]:
        """Those in these tanks, and in all that share these waters, that had begun and had not
        ended before the first day.
        """

    def illnesses(self, animals: Collection[int], first: Date, on: Date) -> Iterable[Observation]:
        """Those of these animals from the first day on by which days begin again."""

    def treatments(
        self,
        animals: Collection[int],
        tanks: Collection[int],
        systems: Collection[int],
        first: Date,
        on: Date,
    ) -> Iterable[Treatment]:
        """Those against something from the first day on, of these animals and waters: what is given
        to be on the safe side says against what as well.
        """


def kinds_that_begin_again() -> list[str]:
    """Of what is seen, by which the days of a quarantine begin again."""
    return list(health_file()["starts_quarantine_again"]["kinds"])


class OnRecord:
    """As the database has them, one query each."""

    def stays_of(self, animals: Collection[int], on: Date) -> Iterable[Stay]:
        rows = Stay.objects.filter(animal__in=list(animals), since__lte=on)
        return rows.select_related("tank", "animal")

    def stays_in(
        self, tanks: Collection[int], systems: Collection[int], first: Date, on: Date
    ) -> Iterable[Stay]:
        rows = Stay.objects.filter(Q(tank__in=tanks) | Q(tank__system__in=systems), since__lte=on)
        rows = rows.exclude(until__lt=first).select_related("tank", "animal")
        return rows.order_by("since", "pk")

    def illnesses(self, animals: Collection[int], first: Date, on: Date) -> Iterable[Observation]:
        rows = Observation.objects.filter(
            animal__in=list(animals),
            kind__in=kinds_that_begin_again(),
            since__gte=first,
            since__lte=on,
        )
        return rows.order_by("since", "pk")

    def treatments(
        self,
        animals: Collection[int],
        tanks: Collection[int],
        systems: Collection[int],
        first: Date,
        on: Date,
    ) -> Iterable[Treatment]:
        rows = Treatment.objects.filter(
            Q(animal__in=list(animals)) | Q(tank__in=tanks) | Q(tank__system__in=systems),
            since__gte=first,
            since__lte=on,
        )
        return rows.exclude(against="").select_related("tank").order_by("since", "pk")
