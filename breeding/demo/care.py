"""The demonstration's care: weighing, the nursery's list, rest after a birth, planned pairings."""

import datetime
from functools import partial

from breeding.animals.models import Measurement
from breeding.animals.services import add_measurement
from breeding.demo.acts import Entry, House, all_the_same
from breeding.demo.drawn import bodies
from breeding.pairings.care.services import choose_nursery, rest_after, tick_apart, tick_nursery
from breeding.pairings.models import NurseryTick, Outcome
from breeding.planning.services import plan_pairing
from breeding.program.models import Person


class Care:
    """What keepers do beside pairing and moving; every act takes its day first."""

    def __init__(self, house: House) -> None:
        self.house = house

    def _by(self, entry: Entry) -> Person:
        return self.house.people[entry.get("by", "sam")]

    def weigh(self, on: datetime.date, entry: Entry) -> None:
        """A weight as a share of what goes with her last width, and a girth."""
        name = entry["animal"]
        rows = Measurement.objects.filter(
            animal=self.house.rays[name], disc_width_mm__isnull=False, on__lte=on
        )
        width = rows.order_by("on", "pk").values_list("disc_width_mm", flat=True).last()
        weight = None
        if width and "weight_share" in entry:
            weight = round(bodies.weight_g(name, width) * entry["weight_share"] / 10) * 10
        add_measurement(
            self.house.rays[name],
            by=self._by(entry),
            on=on,
            weight_g=weight,
            girth_mm=entry.get("girth_mm"),
            condition=entry.get("condition"),
            note=entry.get("note", ""),
        )

    def tick(self, on: datetime.date, entry: Entry) -> None:
        """One point of the nursery's list; the first of them chooses the tank."""
        female, tank = self.house.rays[entry["female"]], self.house.tanks[entry["tank"]]
        by, now = self._by(entry), self._evening(on)
        if entry["item"] == NurseryTick.Item.TANK:
            choose_nursery(female, tank, on=on, by=by, now=now)
        else:
            tick_nursery(female, entry["item"], on=on, by=by, now=now, tank=tank)

    def rest(self, on: datetime.date, entry: Entry) -> None:
        birth = self._last_birth(entry)
        until = birth.on + datetime.timedelta(days=entry["for_days"])
        by = self._by(entry)
        rest_after(birth, until=until, by=by, note=entry.get("note", ""))

    def part_from_pups(self, on: datetime.date, entry: Entry) -> None:
        by = self._by(entry)
        tick_apart(self._last_birth(entry), on=on, by=by)

    def plan(self, on: datetime.date, entry: Entry) -> None:
        """A pairing that waits for its day."""
        plan = partial(
            plan_pairing,
            female=self.house.rays[entry["female"]],
            male=self.house.rays[entry["male"]],
            not_before=self.house.day(entry["not_before"]),
            by=self._by(entry),
            today=on,
            tank=self.house.tanks[entry["tank"]],
            note=entry.get("note", ""),
        )
        all_the_same(plan, self.house.habits["in_spite_of_condition"])

    def _last_birth(self, entry: Entry) -> Outcome:
        births = Outcome.objects.filter(
            female=self.house.rays[entry["female"]], kind__in=Outcome.BIRTHS
        )
        return births.latest("on")

    def _evening(self, on: datetime.date) -> datetime.datetime:
        return datetime.datetime.combine(on, datetime.time(19), tzinfo=self.house.program.zone)
