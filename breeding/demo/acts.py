"""The demonstration's acts: what its keepers did, each through the service a page would use."""

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import partial
from io import BytesIO
from typing import Any, TypeVar

from breeding.agenda.queries import the_day
from breeding.agenda.services import answer_line
from breeding.animals import services as animals
from breeding.animals.models import Animal, Species, Strain
from breeding.animals.parents.parentage import Parents
from breeding.buyers import services as buyers
from breeding.buyers.models import Contact
from breeding.demo.drawn import bodies
from breeding.demo.drawn.wounds import draw_marks
from breeding.housing.models import Tank, WaterSystem
from breeding.housing.services import move_animal
from breeding.housing.water.services import record_water_test
from breeding.litters.births.facts import PupFacts
from breeding.litters.services import record_birth
from breeding.pairings import services as pairings
from breeding.pairings.models import Pairing, SignKind
from breeding.program import services as program_services
from breeding.program.models import Person, Program
from breeding.program.problems.doubts import DoubtError
from breeding.sheets import services as sheets

Entry = dict[str, Any]
Done = TypeVar("Done")

# What is left of the yolk sac of newborns, of one more and of another less.
YOLKS = ("small", "large", "small", "none")


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


def all_the_same(act: Callable[..., Done], because: str) -> Done:
    """Do it; where it is doubted, do it all the same, for this reason."""
    try:
        return act()
    except DoubtError as asked:
        return act(sure={one.mark for one in asked.doubts}, reason=because)


class House:
    """The program as it comes about. Every act takes its day first and then what the diary says."""

    def __init__(self, content: Mapping[str, Any], today: datetime.date) -> None:
        self.content = content
        self.habits: dict[str, Any] = content["habits"]
        self.today = today
        self.people: dict[str, Person] = {}
        self.rays: dict[str, Animal] = {}
        self.slow: set[str] = set()
        self.tanks: dict[str, Tank] = {}
        self.where: dict[str, str] = {}
        self.open: dict[tuple[str, str], Pairing] = {}
        self.contacts: dict[str, Contact] = {}
        self.strains: dict[str, Strain] = {}
        self.family = bodies.Family()
        self.species = {species.key: species for species in Species.objects.all()}
        self.kinds = {kind.key: kind for kind in SignKind.objects.all()}

    def day(self, days_ago: int) -> datetime.date:
        return self.today - datetime.timedelta(days=days_ago)

    def set_up(self) -> None:
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
        for name in ("code_prefix", "veterinarian", "address", "telephone"):
            setattr(program, name, facts[name])
        program.full_clean()
        program.save()
        self.program = program
        for strain in self.content["strains"]:
            self.strains[strain["name"]] = Strain.objects.create(
                **{**strain, "species": self.species[strain["species"]]}
            )
        systems = {
            entry["name"]: WaterSystem.objects.create(**entry)
            for entry in self.content["water_systems"]
        }
        for tank in self.content["tanks"]:
            shared = systems.get(tank.get("system", ""))
            self.tanks[tank["name"]] = Tank(**{**tank, "system": shared})
            self.tanks[tank["name"]].full_clean()
            self.tanks[tank["name"]].save()

    def _by(self, entry: Entry) -> Person:
        return self.people[entry.get("by", "jo")]

    def arrive(self, on: datetime.date, entry: Entry) -> None:
        name = entry["name"]
        precision = entry.get("precision", "unknown")
        born = self.day(entry["born"]) if "born" in entry else None
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
        self.move(on, name, self.habits["arrive_in"])

    def move(self, on: datetime.date, name: str, tank: str, side: str = "") -> None:
        """Nothing is done for one that is gone or there already."""
        if self.rays[name].is_here and self.where.get(name) != tank:
            self.where[name] = tank
            if on >= self.day(self.habits["tank_book_begun"]):
                self._write_place(on, name, side)

    def _write_place(self, on: datetime.date, name: str, side: str = "") -> None:
        place = self.tanks[self.where[name]]
        move = partial(move_animal, self.rays[name], place, on=on, by=self.people["sam"], side=side)
        all_the_same(move, self.habits["in_spite_of_kin"])

    def begin_tank_book(self, on: datetime.date) -> None:
        """From this day on it is on record who is where; what was before nobody wrote down."""
        for name in self.where:
            self._write_place(on, name)

    def test_water(self, on: datetime.date, entry: Entry) -> None:
        at = datetime.time.fromisoformat(entry["at"])
        tested_at = datetime.datetime.combine(on, at, tzinfo=self.program.zone)
        told = ("days", "at", "tank", "by", "note")
        values: dict[str, Any] = {
            name: Decimal(str(value)) if isinstance(value, int | float) else value
            for name, value in entry.items()
            if name not in told
        }
        record_water_test(
            self.tanks[entry["tank"]],
            tested_at=tested_at,
            now=tested_at,
            by=self.people[entry.get("by", "sam")],
            note=entry.get("note", ""),
            **values,
        )

    def to_rest(self, on: datetime.date, name: str) -> None:
        """To the side where its sex rests, unless it is in company."""
        if any(name in pair for pair in self.open):
            return
        females, males = self.habits["females_rest_in"], self.habits["males_rest_in"]
        self.move(on, name, males if self.rays[name].sex == Animal.Sex.MALE else females)

    def introduce(self, on: datetime.date, entry: Entry) -> None:
        female, male = entry["female"], entry["male"]
        together = partial(
            pairings.open_pairing,
            female=self.rays[female],
            male=self.rays[male],
            introduced_on=on,
            program=self.program,
            by=self._by(entry),
            today=on,
            separation_planned_on=self.day(entry["planned"]) if "planned" in entry else None,
            note=entry.get("note", ""),
        )
        reason = entry.get("reason", "")
        self.open[female, male] = all_the_same(
            partial(together, reason=reason), reason or self.habits["in_spite_of_condition"]
        )
        for name in (female, male):
            self.move(on, name, entry.get("tank", self.habits["pair_in"]))

    def separate(self, on: datetime.date, entry: Entry) -> None:
        pair = entry["female"], entry["male"]
        note = entry.get("separated_because", "")
        moved, to = entry.get("moved", ""), entry.get("moved_to", "")
        sides = [self.rays[name] for name in pair] if moved == Pairing.Moved.DIVIDER else []
        pairings.separate(
            self.open.pop(pair),
            on=on,
            today=on,
            note=note,
            moved=moved,
            tank=self.tanks[to] if to else None,
            left=sides[:1],
            right=sides[1:],
            by=self._by(entry),
        )
        if to:
            self.where[entry[moved]] = to
        if not sides:  # behind a divider they stay where they are, until a move says otherwise
            for name in pair:
                self.to_rest(on, name)

    def see(self, on: datetime.date, entry: Entry) -> None:
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
            photograph=self._marks(entry) if entry.get("drawn") else None,
            is_drawing=True,
        )
        if "withdrawn" in entry:
            later = seen_at + datetime.timedelta(hours=1)
            program_services.withdraw(
                sighting, by=self._by(entry), now=later, reason=entry["withdrawn"]
            )

    def _marks(self, entry: Entry) -> BytesIO:
        name, healing = entry["female"], entry["kind"] == "healing_marks"
        portrait = self.family.portrait(name, self.rays[name].sex)
        return BytesIO(draw_marks(portrait, severity=entry["severity"], seed=name, healing=healing))

    def scan(self, on: datetime.date, entry: Entry) -> None:
        pairings.record_scan(
            female=self.rays[entry["female"]],
            on=on,
            positive=entry["positive"],
            today=on,
            by=self._by(entry),
            number_seen=entry.get("number_seen"),
            done_by=entry["done_by"],
            note=entry.get("note", ""),
        )

    def end(self, on: datetime.date, entry: Entry) -> None:
        pairings.record_outcome(
            female=self.rays[entry["female"]],
            on=on,
            kind=entry["kind"],
            today=on,
            by=self._by(entry),
        )

    def birth(self, on: datetime.date, entry: Entry, pups: list[PupWords]) -> None:
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
                    bodies.weight_g(pup.key, bodies.width_at_birth_mm(pup.key)),
                    YOLKS[number % len(YOLKS)],
                )
                for number, pup in enumerate(pups)
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
            if pup.slow:
                self.slow.add(pup.key)
            self.where[pup.key] = self.where[entry["dam"]]
            self.family.add_pup(pup.key, looks_like, entry["dam"])
            row.animal.call_name = pup.name
            if self.family.is_pale(pup.key):
                row.animal.strain = self.strains["Paper Lantern"]
        # A name or a strain can contradict nothing: written without checking all parents anew.
        born = [self.rays[pup.key] for pup in pups if pup.alive]
        Animal.objects.bulk_update(born, ["call_name", "strain"])

    def leave(self, on: datetime.date, name: str, state: str) -> None:
        if self.where.pop(name, None) and on >= self.day(self.habits["tank_book_begun"]):
            move_animal(self.rays[name], None, on=on, by=self.people["jo"])
        animals.change_state(self.rays[name], state=state, on=on)

    def portray(self, on: datetime.date, name: str) -> None:
        animal = self.rays[name]
        is_young = bodies.is_drawn_young(animal.born_on, on)
        draw = self.family.young_portrait if is_young else self.family.portrait
        picture = BytesIO(draw(name, animal.sex))
        animals.add_photograph(animal, picture, by=self.people["jo"], taken_on=on, is_drawing=True)

    def measure(self, on: datetime.date, name: str, width: int, age_days: int) -> None:
        if not self.rays[name].is_here:
            return
        animals.add_measurement(
            self.rays[name],
            by=self.people["sam"],
            on=on,
            disc_width_mm=width,
            weight_g=bodies.weight_g(name, width),
            condition=bodies.condition(name, age_days, slow=name in self.slow),
        )

    def meet_buyer(self, on: datetime.date, entry: Entry) -> None:
        self.contacts[entry["name"]] = buyers.add_contact(
            by=self.people["jo"], name=entry["name"], reach=entry["reach"], wish=entry["wish"]
        )

    def reserve(self, on: datetime.date, entry: Entry) -> None:
        buyers.reserve_animal(
            self.rays[entry["animal"]],
            self.contacts[entry["for"]],
            by=self.people["jo"],
            on=on,
            until=on + datetime.timedelta(days=entry["for_days"]),
            note=entry["note"],
            deposit=Decimal(entry["deposit"]),
            deposit_currency=entry["currency"],
        )

    def issue_sheet(self, on: datetime.date, entry: Entry) -> None:
        sheets.issue_sheet(
            self.rays[entry["animal"]],
            by=self.people["jo"],
            on=on,
            contact=self.contacts[entry["for"]],
            with_ancestry=True,
        )

    def answer(self, on: datetime.date, entry: Entry) -> None:
        """Mark one line of the day's page done."""
        lines = the_day(self.program, today=on).lines
        (line,) = (
            one for one in lines if one.who == entry["female"] and one.kind.key == entry["kind"]
        )
        answer_line(line.key, by=self._by(entry), today=on, note=entry["note"])
