"""The demonstration: an invented program, written down day by day as its keepers would have."""

import datetime
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from io import BytesIO
from typing import Any
from zoneinfo import ZoneInfo

from auditlog.context import disable_auditlog
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from breeding.animals import services as animals
from breeding.animals.models import Animal, Species, Strain
from breeding.animals.parentage import Parents
from breeding.buyers.models import Contact, Reservation
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings import services as pairings
from breeding.pairings.models import Pairing, SignKind
from breeding.program import services as program_services
from breeding.program.fixture_files import fixture_path
from breeding.program.models import Person, Program
from breeding.records import demo_bodies as bodies

Entry = dict[str, Any]

PUP_DAYS = 120  # pups of the last litters have been measured week by week


def read_demo_file() -> dict[str, Any]:
    """The diary as it lies there."""
    content: dict[str, Any] = json.loads(fixture_path("demo/program.json").read_text("utf-8"))
    return content


def is_loaded() -> bool:
    """Whether this database holds the demonstration."""
    return Program.objects.filter(pk=1, is_demo=True).exists()


def load_demo(today: datetime.date) -> bool:
    """Write down the whole demonstration as it stands on a day; all of it or nothing.

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
        Diary(content, today).play()
    return True


@dataclass(frozen=True)
class PupWords:
    """One pup of the file: "F Bellatrix", "M sold at 75", "F dead", "F died at 9", "F slow"."""

    key: str
    sex: str
    name: str = ""
    alive: bool = True
    slow: bool = False
    gone: str = ""
    gone_at: int = 0

    @classmethod
    def read(cls, litter: str, number: int, words: str) -> "PupWords":
        sex, *rest = words.split()
        key = f"{litter} {number}"
        match rest:
            case []:
                return cls(key, sex)
            case ["dead"]:
                return cls(key, sex, alive=False)
            case ["slow"]:
                return cls(key, sex, slow=True)
            case ["sold" | "died" as how, "at", age]:
                gone = Animal.State.LEFT if how == "sold" else Animal.State.DIED
                return cls(key, sex, gone=gone, gone_at=int(age))
            case [name]:
                return cls(name, sex, name)
        raise ValueError(f"{words!r} is no pup: a sex and then a name, dead, slow, sold at 75.")


class Diary:
    """Everything that happened, in order, each through the act a keeper would have used."""

    def __init__(self, content: Mapping[str, Any], today: datetime.date) -> None:
        self.content = content
        self.habits: dict[str, Any] = content["habits"]
        self.today = today
        self.entries: list[tuple[int, Callable[[datetime.date], object]]] = []
        self.people: dict[str, Person] = {}
        self.rays: dict[str, Animal] = {}
        self.pups: dict[str, PupWords] = {}
        self.tanks: dict[str, Tank] = {}
        self.where: dict[str, str] = {}
        self.open: dict[tuple[str, str], Pairing] = {}
        self.family = bodies.Family()
        self.species = {species.key: species for species in Species.objects.all()}
        self.kinds = {kind.key: kind for kind in SignKind.objects.all()}
        self.strains: dict[str, Strain] = {}

    def play(self) -> None:
        self._set_up()
        self._on(self.habits["tank_book_begun"], self._begin_tank_book)
        for entry in self.content["arrivals"]:
            self._on(entry["days"], self._arrive, entry)
            self._on(entry["days"] - self.habits["quarantine_days"], self._to_rest, entry["name"])
        for entry in self.content["pairings"]:
            self._plan_pairing(entry)
        for entry in self.content["sightings"]:
            self._on(entry["days"], self._see, entry)
        for entry in self.content["scans"]:
            self._on(entry["days"], self._scan, entry)
        for entry in self.content["outcomes"]:
            self._on(entry["days"], self._end, entry)
        for entry in self.content["litters"]:
            self._plan_litter(entry)
        for entry in self.content["moves"]:
            self._on(entry["days"], self._move, entry["animal"], entry["tank"])
        for entry in self.content["states"]:
            self._on(entry["days"], self._leave, entry["animal"], entry["state"])
        self._plan_portraits()
        self._plan_measurements()
        for entry in self.content["buyers"]:
            self._on(entry.get("reserves", {}).get("days", 0), self._buyer, entry)
        for days, act in sorted(self.entries, key=lambda entry: -entry[0]):
            act(self._day(days))

    # ------------------------------------------------------------------------------- planning

    def _day(self, days_ago: int) -> datetime.date:
        return self.today - datetime.timedelta(days=days_ago)

    def _on(self, days_ago: int, act: Callable[..., object], *what: Any) -> None:
        """Put an act into the diary; what is still to come is left out."""
        if days_ago >= 0:
            self.entries.append((days_ago, lambda on: act(on, *what)))

    def _plan_pairing(self, entry: Entry) -> None:
        self._on(entry["introduced"], self._introduce, entry)
        if "separated" in entry:
            self._on(entry["separated"], self._separate, entry)

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
        self._on(mated + 2, self._see, {**seen, "at": "19:10", "kind": "following", "by": "sam"})
        self._on(mated, self._see, {**seen, "at": "20:40", "kind": "copulation", "by": "jo"})
        nursery = entry.get("nursery", self.habits["births_in"])
        self._on(born + self.habits["nursery_before_birth"], self._move, entry["dam"], nursery)
        pups = [PupWords.read(key, n, words) for n, words in enumerate(entry["pups"], start=1)]
        self._on(born, self._birth, entry, pups)
        moved = born - self.habits["nursery_after_birth"]
        self._on(moved, self._to_rest, entry["dam"])
        for pup in pups:
            if not pup.alive:
                continue
            self.pups[pup.key] = pup
            self._on(moved, self._move, pup.key, self.habits["pups_grow_in"])
            self._on(born - self.habits["grown_at"], self._to_rest, pup.key)
            if pup.gone:
                self._on(born - pup.gone_at, self._leave, pup.key, pup.gone)

    def _plan_portraits(self) -> None:
        words = self.content["portraits"]
        named = [entry["name"] for entry in self.content["arrivals"]]
        named += [pup.key for pup in self.pups.values() if pup.name]
        for name in named:
            if name not in words["missing"]:
                days = words["taken"].get(name, bodies.days_since_portrait(name))
                self._on(days, self._portray, name)
        for entry in self.content["litters"]:
            pups = [pup for pup in self._pups_of(entry) if not pup.name and not pup.gone]
            for pup in pups if entry["days"] >= words["youngest_days"] else []:
                self._on(entry["days"] - words["youngest_days"], self._portray, pup.key)

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
                    self._on(first - days_here, self._measure, name, width, days_here)
        for litter in self.content["litters"]:
            born = litter["days"]
            weekly = range(7, born + 1, 7) if born < PUP_DAYS else (42, 180)
            for pup in self._pups_of(litter):
                for age in (*weekly, *range(365, born + 1, 365)):
                    if born - age <= oldest:
                        width = bodies.width_mm(pup.key, pup.sex, age, slow=pup.slow)
                        self._on(born - age, self._measure, pup.key, width, age)

    # ------------------------------------------------------------------------------ what happened

    def _set_up(self) -> None:
        facts = self.content["program"]
        owner, *others = facts["people"]
        self.people[owner["username"]] = program_services.set_up_program(
            name=facts["name"],
            time_zone=facts["time_zone"],
            username=owner["username"],
            called=owner["called"],
            password=facts["password"],
            is_demo=True,
        )
        for entry in others:
            # The same password, so the same hash: to make it anew takes most of a second each.
            person = Person(
                username=entry["username"],
                first_name=entry["called"],
                role=entry["role"],
                password=self.people[owner["username"]].password,
            )
            person.full_clean()
            person.save()
            self.people[person.username] = person
        program = Program.objects.get(pk=1)
        program.code_prefix, program.veterinarian = facts["code_prefix"], facts["veterinarian"]
        program.full_clean()
        program.save()
        self.program = program
        for strain in self.content["strains"]:
            self.strains[strain["name"]] = Strain.objects.create(
                **{**strain, "species": self.species[strain["species"]]}
            )
        for tank in self.content["tanks"]:
            self.tanks[tank["name"]] = Tank(**tank)
            self.tanks[tank["name"]].full_clean()
            self.tanks[tank["name"]].save()

    def _by(self, entry: Entry) -> Person:
        return self.people[entry.get("by", "jo")]

    def _arrive(self, on: datetime.date, entry: Entry) -> None:
        name = entry["name"]
        precision = entry.get("precision", "unknown")
        born = self._day(entry["born"]) if "born" in entry else None
        if born is not None:
            born = born.replace(day=1) if precision == "month" else born.replace(month=1, day=1)
        shares = {
            self.species[key]: Fraction(part) for key, part in entry.get("species", {}).items()
        }
        self.rays[name] = animals.register_animal(
            by=self._by(entry),
            parents=Parents(self.rays.get(entry.get("sire", ""))),
            species_shares=shares or None,
            call_name=name,
            sex=entry["sex"],
            origin=entry["origin"],
            strain=self.strains.get(entry.get("strain", "")),
            born_on=born,
            born_precision=precision,
            state_on=on,
            markings=bodies.marking(name, self.content["markings"]),
            note=entry.get("note", ""),
        )
        self.family.add_founder(name, entry["looks"], pale=entry.get("pale", False))
        self._move(on, name, self.habits["arrive_in"])

    def _move(self, on: datetime.date, name: str, tank: str) -> None:
        """Nothing is done for one that is gone or there already."""
        if self.rays[name].is_here and self.where.get(name) != tank:
            self.where[name] = tank
            if on >= self._day(self.habits["tank_book_begun"]):
                self._write_place(on, name)

    def _write_place(self, on: datetime.date, name: str) -> None:
        place = self.tanks[self.where[name]]
        move_animal(self.rays[name], place, on=on, by=self.people["sam"])

    def _begin_tank_book(self, on: datetime.date) -> None:
        """From this day on it is on record who is where; what was before nobody wrote down."""
        for name in self.where:
            self._write_place(on, name)

    def _to_rest(self, on: datetime.date, name: str) -> None:
        """To the side where its sex rests, unless it is in company."""
        if any(name in pair for pair in self.open):
            return
        females, males = self.habits["females_rest_in"], self.habits["males_rest_in"]
        self._move(on, name, males if self.rays[name].sex == Animal.Sex.MALE else females)

    def _introduce(self, on: datetime.date, entry: Entry) -> None:
        female, male = entry["female"], entry["male"]
        self.open[female, male] = pairings.open_pairing(
            female=self.rays[female],
            male=self.rays[male],
            introduced_on=on,
            program=self.program,
            by=self._by(entry),
            today=on,
            reason=entry.get("reason", ""),
            note=entry.get("note", ""),
        )
        for name in (female, male):
            self._move(on, name, entry.get("tank", self.habits["pair_in"]))

    def _separate(self, on: datetime.date, entry: Entry) -> None:
        pair = entry["female"], entry["male"]
        note = entry.get("separated_because", "")
        pairings.separate(self.open.pop(pair), on=on, today=on, note=note)
        for name in pair:
            self._to_rest(on, name)

    def _see(self, on: datetime.date, entry: Entry) -> None:
        at = datetime.time.fromisoformat(entry["at"])
        seen_at = datetime.datetime.combine(on, at, tzinfo=self.program.zone)
        sighting = pairings.log_sighting(
            female=self.rays[entry["female"]],
            kind=self.kinds[entry["kind"]],
            seen_at=seen_at,
            now=seen_at,
            by=self._by(entry),
            male=self.rays[entry["male"]] if "male" in entry else None,
            severity=entry.get("severity"),
            note=entry.get("note", ""),
        )
        if "withdrawn" in entry:
            later = seen_at + datetime.timedelta(hours=1)
            program_services.withdraw(
                sighting, by=self._by(entry), now=later, reason=entry["withdrawn"]
            )

    def _scan(self, on: datetime.date, entry: Entry) -> None:
        pairings.record_scan(
            female=self.rays[entry["female"]],
            on=on,
            positive=entry["positive"],
            today=on,
            by=self._by(entry),
            number_seen=entry.get("number_seen"),
            done_by="Tern Quay",
            note=entry.get("note", ""),
        )

    def _end(self, on: datetime.date, entry: Entry) -> None:
        pairings.record_outcome(
            female=self.rays[entry["female"]],
            on=on,
            kind=entry["kind"],
            today=on,
            by=self._by(entry),
        )

    def _birth(self, on: datetime.date, entry: Entry, pups: list[PupWords]) -> None:
        dam = self.rays[entry["dam"]]
        possible = tuple(
            (self.rays[name], Fraction(part))
            for name, part in entry.get("possible_sires", {}).items()
        )
        sire = self.rays[entry["sire"]] if "sire" in entry else None
        litter = record_birth(
            dam=dam,
            born_on=on,
            pups=[
                PupFacts(
                    pup.alive,
                    pup.sex,
                    bodies.width_at_birth_mm(pup.key),
                    bodies.marking(pup.key, self.content["markings"]) if pup.alive else "",
                )
                for pup in pups
            ],
            today=on,
            by=self._by(entry),
            parents=Parents(sire, dam, possible),
            note=entry.get("note", ""),
        )
        looks_like = entry.get("sire") or next(iter(entry["possible_sires"]))
        for pup, row in zip(pups, litter.pups.select_related("animal"), strict=True):
            if row.animal is None:
                continue
            self.rays[pup.key] = row.animal
            self.where[pup.key] = self.where[entry["dam"]]
            self.family.add_pup(pup.key, looks_like, entry["dam"])
            row.animal.call_name = pup.name
            if self.family.is_pale(pup.key):
                row.animal.strain = self.strains["Paper Lantern"]
        # A name or a strain can contradict nothing: written without checking all parents anew.
        born = [self.rays[pup.key] for pup in pups if pup.alive]
        Animal.objects.bulk_update(born, ["call_name", "strain"])

    def _leave(self, on: datetime.date, name: str, state: str) -> None:
        if self.where.pop(name, None) and on >= self._day(self.habits["tank_book_begun"]):
            move_animal(self.rays[name], None, on=on, by=self.people["jo"])
        animals.change_state(self.rays[name], state=state, on=on)

    def _portray(self, on: datetime.date, name: str) -> None:
        animal = self.rays[name]
        picture = BytesIO(self.family.portrait(name, animal.sex))
        animals.add_photograph(animal, picture, by=self.people["jo"], taken_on=on, is_drawing=True)

    def _measure(self, on: datetime.date, name: str, width: int, age_days: int) -> None:
        if not self.rays[name].is_here:
            return
        slow = name in self.pups and self.pups[name].slow
        animals.add_measurement(
            self.rays[name],
            by=self.people["sam"],
            on=on,
            disc_width_mm=width,
            weight_g=bodies.weight_g(name, width),
            condition=bodies.condition(name, age_days, slow=slow),
        )

    def _buyer(self, on: datetime.date, entry: Entry) -> None:
        """Plain rows: nothing about a contact has to be checked here."""
        contact = Contact.objects.create(
            name=entry["name"],
            reach=entry["reach"],
            wish=entry["wish"],
            recorded_by=self.people["jo"],
        )
        wanted = entry.get("reserves")
        if wanted:
            Reservation.objects.create(
                contact=contact,
                animal=self.rays[f"{wanted['litter']} {wanted['pup']}"],
                reserved_on=on,
                until=self.today + datetime.timedelta(days=wanted["until_in"]),
                note=wanted["note"],
                recorded_by=self.people["jo"],
            )
