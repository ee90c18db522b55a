"""The demonstration's young: weighed as one table every week, with invented figures."""

import datetime
from collections.abc import Iterable

from breeding.animals.weighing.keeping import Weighed, weigh_together
from breeding.demo.acts import House, PupWords
from breeding.demo.drawn import bodies


class Weighings:
    """What keepers weigh together; every act takes its day first."""

    def __init__(self, house: House) -> None:
        self.house = house

    def weigh(self, on: datetime.date, pups: Iterable[PupWords], age_days: int) -> None:
        """Width, weight and condition of those of a litter that are still here."""
        rows = [self._row(pup, age_days) for pup in pups if self.house.rays[pup.key].is_here]
        if rows:
            weigh_together(rows, on=on, by=self.house.people["sam"])

    def _row(self, pup: PupWords, age_days: int) -> Weighed:
        width = bodies.width_mm(pup.key, pup.sex, age_days, slow=pup.slow)
        return Weighed(
            self.house.rays[pup.key],
            disc_width_mm=width,
            weight_g=bodies.weight_g(pup.key, width),
            condition=bodies.condition(pup.key, age_days, slow=pup.slow),
        )
