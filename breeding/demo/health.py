"""The demonstration's health: a treatment with its hold, what was seen, a veterinarian's visit.

The remedy is invented, and no dose is said.
"""

import datetime
from collections.abc import Callable, Iterator

from breeding.demo.acts import House
from breeding.health.illness.observing import end_observation, observe
from breeding.health.illness.treating import Prescribed, treat
from breeding.health.illness.visiting import record_visit
from breeding.health.models import Observation

Date = datetime.date
ILL, LISTLESS = "Rigel", "Celaeno"
VETERINARIAN = "Dr. Marlow Reed"


class Health:
    """What was seen and done; every act takes its day."""

    def __init__(self, house: House) -> None:
        self.house = house

    @property
    def diary(self) -> Iterator[tuple[int, Callable[[Date], object]]]:
        """Each act by how many days ago it was."""
        yield 21, self.see_film
        yield 20, self.visit
        yield 20, self.treat
        yield 6, self.see_it_over
        yield 1, self.see_listless

    def see_film(self, on: Date) -> None:
        self._observe(ILL, "skin", on, "A grey film along the right edge of the disc.")

    def visit(self, on: Date) -> None:
        record_visit(
            self.house.rays[ILL],
            on=on,
            today=on,
            recorded_by=self.house.people["sam"],
            by=VETERINARIAN,
            found="A film on the skin; the water is fit.",
            look_again_on=on + datetime.timedelta(days=23),
        )

    def treat(self, on: Date) -> None:
        """As it was prescribed, with the day until which he is held."""
        given = Prescribed(
            "Willow bath",
            since=on,
            until=on + datetime.timedelta(days=12),
            hold_until=on + datetime.timedelta(days=42),
            prescribed_by=VETERINARIAN,
            against="a film on the skin",
        )
        treat(self.house.rays[ILL], given, today=on, by=self.house.people["sam"])

    def see_it_over(self, on: Date) -> None:
        found = Observation.objects.get(animal=self.house.rays[ILL], over_on__isnull=True)
        end_observation(found, on=on, today=on)

    def see_listless(self, on: Date) -> None:
        self._observe(LISTLESS, "listless", on, "Did not come to the front at feeding time.")

    def _observe(self, name: str, kind: str, on: Date, note: str) -> None:
        by = self.house.people["sam"]
        observe(self.house.rays[name], kind, since=on, today=on, by=by, note=note)
