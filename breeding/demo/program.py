"""The demonstration: an invented program, written down day by day as its keepers would have."""

import datetime
import json
from collections.abc import Callable, Mapping
from typing import Any
from zoneinfo import ZoneInfo

from auditlog.context import disable_auditlog
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from breeding.animals.models import Animal, Species
from breeding.demo import coming, keeping, losses, reminders, spotted, traits
from breeding.demo.acts import Entry, House, PupWords
from breeding.demo.care import Care
from breeding.demo.drawn import bodies
from breeding.demo.feeding import feed_lately
from breeding.demo.health import Health
from breeding.demo.house import arrange
from breeding.demo.sales import Sales
from breeding.demo.water import Water
from breeding.demo.weighing import Weighings
from breeding.program import clock
from breeding.program.models import Person, Program
from breeding.program.reference.fixture_files import fixture_path

PUP_DAYS = 120  # pups of the last litters have been measured week by week


def read_demo_file() -> dict[str, Any]:
    """The diary as it lies there."""
    content: dict[str, Any] = json.loads(fixture_path("demo/program.json").read_text("utf-8"))
    return content


def is_loaded() -> bool:
    """Whether this database holds the demonstration."""
    return Program.objects.filter(pk=1, is_demo=True).exists()


def load_demo(today: datetime.date | None = None) -> bool:
    """Write down the whole demonstration as it stands on a day (today); all of it or nothing.

    False, and nothing is done, when it is there already. Raises ValidationError when the
    database holds anything else. Needs the species (`load_species`).
    """
    if is_loaded():
        return False
    if Program.objects.filter(pk=1).exists():
        name = Program.objects.get(pk=1).name
        raise ValidationError(
            f"This database belongs to {name}; the demonstration is written into an empty one only."
        )
    if Person.objects.exists() or Animal.objects.exists():
        raise ValidationError(
            "This database holds people or animals already; the demonstration is written into an "
            "empty one only."
        )
    if not Species.objects.exists():
        raise ValidationError("There are no species yet; run `manage.py load_species` first.")
    content = read_demo_file()
    zone = ZoneInfo(content["program"]["time_zone"])
    # The history of changes would say that one person wrote nine years in one second.
    with timezone.override(zone), disable_auditlog(), transaction.atomic():
        Diary(content, today or clock.today()).play()
    return True


class Diary:
    """Everything that happened, by days before today: planned from the file, then played."""

    def __init__(self, content: Mapping[str, Any], today: datetime.date) -> None:
        self.content = content
        self.habits: dict[str, Any] = content["habits"]
        self.house = House(content, today)
        self.sales = Sales(self.house)
        self.coming = coming.Coming(self.house)
        self.weighings = Weighings(self.house)
        self.entries: list[tuple[int, Callable[[datetime.date], object]]] = []
        self.pups: dict[str, PupWords] = {}

    def play(self) -> None:
        self.house.set_up()
        self._on(self.habits["tank_book_begun"], self.house.begin_tank_book)
        for entry in self.content["arrivals"]:
            self._on(entry["days"], self.house.arrive, entry)
            self._on(
                entry["days"] - self.habits["quarantine_days"], self.house.to_rest, entry["name"]
            )
        for entry in self.content["pairings"]:
            self._plan_pairing(entry)
        for entry in self.content["sightings"]:
            self._on(entry["days"], self.house.see, entry)
        for entry in self.content["scans"]:
            self._on(entry["days"], self.house.scan, entry)
        for entry in self.content["outcomes"]:
            self._on(entry["days"], self.house.end, entry)
        for entry in self.content["litters"]:
            self._plan_litter(entry)
        for entry in self.content["moves"]:
            side = entry.get("side", "")
            self._on(entry["days"], self.house.move, entry["animal"], entry["tank"], side)
        for entry in self.content["water_tests"]:
            self._on(entry["days"], self.house.test_water, entry)
        for entry in self.content["states"]:
            self._plan_leaving(entry["days"], entry["animal"], entry["state"])
        self._plan_portraits()
        self._plan_measurements()
        self._plan_care()
        for entry in self.content["buyers"]:
            self._on(entry["days"], self.house.meet_buyer, entry)
        sales = {
            "wishes": self.sales.wish,
            "origin_papers": self.sales.keep_paper,
            "sales_pages": self.sales.offer_litter,
        }
        for name, write in sales.items():
            for entry in self.content[name]:
                self._on(entry["days"], write, entry)
        for entry in self.content["reservations"]:
            self._on(entry["days"], self.house.reserve, entry)
            if "paid_after" in entry:
                self._on(entry["days"] - entry["paid_after"], self.sales.take_deposit, entry)
        self._on(coming.CAME_DAYS_AGO, self.coming.two_juveniles)
        self._on(coming.AGREED_DAYS_AGO, self.coming.loans)
        for entry in self.content["sheets"]:
            self._on(entry["days"], self.house.issue_sheet, entry)
        for entry in self.content["answers"]:
            self._on(entry["days"], self.house.answer, entry)
        self._on(reminders.DAYS_BEFORE, reminders.set_reminders, self.house)
        self._on(spotted.DAYS_BEFORE, spotted.mark_spots, self.house)
        for days, act in Health(self.house).diary:
            self._on(days, act)
        for days, act in losses.diary(self.house):
            self._on(days, act)
        for days, act in sorted(self.entries, key=lambda entry: -entry[0]):
            act(self.house.day(days))
        keeping.decide(self.house.day(0), self.house.people["jo"])
        traits.write_down(self.house, self.house.day(0))
        Water(self.house).write_down()
        arrange(self.house)
        feed_lately(self.house)

    # ------------------------------------------------------------------------------- planning

    def _on(self, days_ago: int, act: Callable[..., object], *what: Any) -> None:
        """Put an act into the diary; what is still to come is left out."""
        if days_ago >= 0:
            self.entries.append((days_ago, lambda on: act(on, *what)))

    def _plan_pairing(self, entry: Entry) -> None:
        self._on(entry["introduced"], self.house.introduce, entry)
        if "separated" in entry:
            self._on(entry["separated"], self.house.separate, entry)

    def _plan_litter(self, entry: Entry) -> None:
        """A birth with all that led to it and followed."""
        born, key = entry["days"], entry["key"]
        mated = born + entry["mated"]
        males = list(entry.get("possible_sires", [entry.get("sire")]))
        for male in males:
            self._plan_pairing(
                {
                    **{name: entry[name] for name in ("tank", "reason") if name in entry},
                    "female": entry["dam"],
                    "male": male,
                    "introduced": mated + self.habits["together_before_mating"],
                    "separated": mated - self.habits["together_after_mating"],
                }
            )
        seen = {"female": entry["dam"], **({"male": males[0]} if len(males) == 1 else {})}
        self._on(
            mated + 2, self.house.see, {**seen, "at": "19:10", "kind": "following", "by": "sam"}
        )
        self._on(mated, self.house.see, {**seen, "at": "20:40", "kind": "copulation", "by": "jo"})
        nursery = entry.get("nursery", self.habits["births_in"])
        self._on(born + self.habits["nursery_before_birth"], self.house.move, entry["dam"], nursery)
        pups = [PupWords.read(key, n, words) for n, words in enumerate(entry["pups"], start=1)]
        self._on(born, self.house.birth, entry, pups)
        moved = born - self.habits["nursery_after_birth"]
        self._on(moved, self.house.to_rest, entry["dam"])
        for pup in pups:
            if not pup.alive:
                continue
            self.pups[pup.key] = pup
            self._on(moved, self.house.move, pup.key, self.habits["pups_grow_in"])
            self._on(born - self.habits["grown_at"], self.house.to_rest, pup.key)
            if pup.gone:
                self._plan_leaving(born - pup.gone_at, pup.key, pup.gone)

    def _plan_leaving(self, days: int, name: str, state: str) -> None:
        """How it went is on record for some of those that left."""
        if how := self.content["hand_overs"].get(name):
            self._on(days, self.sales.hand_over, name, how)
        else:
            self._on(days, self.house.leave, name, state)

    def _plan_care(self) -> None:
        care = Care(self.house)
        acts = {
            "weighings": care.weigh,
            "nursery": care.tick,
            "rests": care.rest,
            "apart_after_birth": care.part_from_pups,
            "plans": care.plan,
        }
        for name, act in acts.items():
            for entry in self.content[name]:
                self._on(entry["days"], act, entry)

    def _plan_portraits(self) -> None:
        words = self.content["portraits"]
        named = [entry["name"] for entry in self.content["arrivals"]]
        named += [pup.key for pup in self.pups.values() if pup.name]
        for name in named:
            if name not in words["missing"]:
                days = words["taken"].get(name, bodies.days_since_portrait(name))
                self._on(days, self.house.portray, name)
        for name, days in words["grew"].items():
            for one in days:
                self._on(one, self.house.portray, name)
        for entry in self.content["litters"]:
            pups = [pup for pup in self._pups_of(entry) if not pup.name and not pup.gone]
            for pup in pups if entry["days"] >= words["youngest_days"] else []:
                self._on(entry["days"] - words["youngest_days"], self.house.portray, pup.key)

    def _pups_of(self, litter: Entry) -> list[PupWords]:
        read = [
            PupWords.read(litter["key"], number, words)
            for number, words in enumerate(litter["pups"], start=1)
        ]
        return [pup for pup in read if pup.alive]

    def _plan_measurements(self) -> None:
        """Pups week by week, others at a few ages and then once a year; the last years only."""
        oldest = self.habits["measured_for"]
        for entry in self.content["arrivals"]:
            name, sex, first = entry["name"], entry["sex"], entry["days"]
            for days_here in (0, *range(365, first + 1, 365)):
                if days_here == 0 or first - days_here <= oldest:
                    width = bodies.grown_width_mm(name, sex, entry["width_mm"], days_here)
                    self._on(first - days_here, self.house.measure, name, width, days_here)
        for litter in self.content["litters"]:
            born = litter["days"]
            pups = self._pups_of(litter)
            if born < PUP_DAYS:
                for age in range(7, born + 1, 7):
                    self._on(born - age, self.weighings.weigh, pups, age)
                continue
            for pup in pups:
                for age in (42, 180, *range(365, born + 1, 365)):
                    if born - age <= oldest:
                        width = bodies.width_mm(pup.key, pup.sex, age, slow=pup.slow)
                        self._on(born - age, self.house.measure, pup.key, width, age)
