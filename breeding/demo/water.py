"""The demonstration's water: months of tests and changes with a story, and what is due when."""

import datetime
from collections.abc import Iterator
from decimal import Decimal

from breeding.demo.acts import House
from breeding.housing.models import WaterSource
from breeding.housing.water.services import record_water_test
from breeding.housing.work.care import record_work
from breeding.housing.work.changes import record_changes
from breeding.housing.work.rhythm import choose_rhythms
from breeding.housing.work.sources import add_source

FIRST_DAYS = 300
LAST_TEST_DAYS = 38  # what is nearer stands in the diary itself
DRY_DAYS, WET_DAYS = 190, 120  # between them softer water came in, and the tanks grew warmer
TANKS = ("Keel Pool", "Slipway", "Port Side")
FILTER_EVERY, CHANGE_EVERY = 42, 14


class Water:
    """What was done to the water of three tanks in the last months."""

    def __init__(self, house: House) -> None:
        self.house = house
        self.by = house.people["sam"]

    def write_down(self) -> None:
        """All of it, oldest first, and for one tank how often it is due."""
        mains, soft = self._sources()
        for number, name in enumerate(TANKS):
            for days in range(FIRST_DAYS - number, LAST_TEST_DAYS - 1, -7):
                self._test(name, days, number)
            for days in range(FIRST_DAYS - number, CHANGE_EVERY - 4 * number, -CHANGE_EVERY):
                is_soft = WET_DAYS <= days <= DRY_DAYS
                self._change(name, days, soft if is_soft else mains, percent=30 + 10 * is_soft)
            for days in range(FIRST_DAYS - 3 * number, FILTER_EVERY // 2, -FILTER_EVERY):
                self._rinse(name, days)
        rhythms = {"change": CHANGE_EVERY, "filter": FILTER_EVERY}
        choose_rhythms(self.house.tanks[TANKS[0]], rhythms)

    def _sources(self) -> Iterator[WaterSource]:
        on = self.house.day(FIRST_DAYS)
        yield add_source(
            by=self.by,
            today=on,
            name="Mains, rested",
            comes_from="tap",
            is_dechlorinated=True,
            prepared="Through carbon, then a day in the barrel with an air stone.",
            tested_on=on,
            ph=Decimal("7.3"),
            temperature_c=Decimal(24),
            conductivity_us_cm=Decimal(410),
            kh_dh=Decimal(5),
        )
        yield add_source(
            by=self.by,
            today=on,
            name="Half rain",
            comes_from="mixed",
            is_dechlorinated=True,
            prepared="Rain and rested mains, half and half.",
            tested_on=on,
            ph=Decimal("7.0"),
            temperature_c=Decimal(25),
            conductivity_us_cm=Decimal(220),
            kh_dh=Decimal("2.5"),
        )

    def _test(self, name: str, days: int, number: int) -> None:
        """Softer and warmer by and by while half rain came in, and back again afterwards."""
        wet = max(0.0, 1 - abs(days - (DRY_DAYS + WET_DAYS) / 2) / 60)
        swing = ((days * 7 + number * 3) % 5) / 10
        at = self._at(days, 18)
        record_water_test(
            self.house.tanks[name],
            tested_at=at,
            now=at,
            by=self.by,
            temperature_c=Decimal(f"{26 + 1.4 * wet + swing:.1f}"),
            ph=Decimal(f"{7.2 - 0.2 * wet - swing / 5:.1f}"),
            ammonia_mg_l=Decimal(0),
            nitrite_mg_l=Decimal(0),
            nitrate_mg_l=Decimal(15 + 5 * ((days // 7) % 4)),
            conductivity_us_cm=Decimal(f"{420 - 150 * wet + 20 * swing:.0f}"),
            kh_dh=Decimal(f"{5 - 2 * wet:.1f}"),
        )

    def _change(self, name: str, days: int, source: WaterSource, *, percent: int) -> None:
        at = self._at(days, 19)
        record_changes(
            [self.house.tanks[name]],
            changed_at=at,
            now=at + datetime.timedelta(days=2),  # written down at the end of the week
            by=self.by,
            program=self.house.program,
            percent=percent,
            source=source,
        )

    def _rinse(self, name: str, days: int) -> None:
        on = self.house.day(days)
        record_work(self.house.tanks[name], kind="filter", on=on, today=on, by=self.by)

    def _at(self, days: int, hour: int) -> datetime.datetime:
        time = datetime.time(hour, 10)
        return datetime.datetime.combine(self.house.day(days), time, tzinfo=self.house.program.zone)
