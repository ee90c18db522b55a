"""A program with ten years in it, of any size: rows in bulk, equal to what the services write.

About so many animals on record as asked for: founders, and young of ten years from females that
follow each other; who was not kept has gone to somebody. The same for the same size.
"""

import datetime
import math
import random
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db import models
from django.utils import timezone

from breeding.animals import revisions
from breeding.animals.models import Animal, Measurement, Species, SpeciesShare
from breeding.buyers.models import Contact, HandOver, Wish
from breeding.feeding.models import Feeding, Food, Meal
from breeding.housing.models import Look, Stay, Tank
from breeding.housing.water.models import WaterTest
from breeding.litters.models import Litter, Pup
from breeding.pairings.models import Outcome, Pairing, Scan, Sighting, SignKind
from breeding.program.models import Person

YEARS = 10
DAY = datetime.timedelta(days=1)
LITTER = 8
TESTED_TANKS, PEOPLE = 50, 1_000
SIGHTINGS_A_YEAR = 50  # of each female that breeds
AT_ONCE = 2_000
GESTATION, TOGETHER, YOUNG_STAY = 95, 30, 200  # days
RULE_MM, WEIGHT_SPREAD = 2.5, 0.1  # of a width that is read, and of the log of a weight
SIGNS = ("bite", "chased", "restless", "other")


@dataclass
class Grown:
    """Who breeds now, and all that pages are opened of."""

    by: Person
    today: datetime.date
    size: int
    females: list[Animal] = field(default_factory=list)
    males: list[Animal] = field(default_factory=list)
    pups: list[Animal] = field(default_factory=list)  # of the last year, that are here
    tanks: list[Tank] = field(default_factory=list)
    water_tests: list[WaterTest] = field(default_factory=list)
    litters: list[Litter] = field(default_factory=list)
    pairings: list[Pairing] = field(default_factory=list)
    contacts: list[Contact] = field(default_factory=list)


class _Writer:
    """Rows by their model, written in the order in which they point to each other."""

    def __init__(self, by: Person, today: datetime.date, size: int, weeks: int, signs: int) -> None:
        self.by, self.today, self.size = by, today, size
        self.weeks, self.signs = weeks, signs
        self.draw = random.Random(size)  # noqa: S311  (the same rows each time)
        self.grown = Grown(by, today, size)
        self.key = 0
        self.born: list[Animal] = []
        self.with_sire: list[tuple[Animal, Animal]] = []

    def day(self, years_ago: float) -> datetime.date:
        return self.today - DAY * round(years_ago * 365)

    def animal(self, sex: str, born_on: datetime.date, **facts: Any) -> Animal:
        self.key += 1
        return Animal(
            pk=self.key,
            code=facts.pop("code", f"R{self.key:05d}"),
            call_name=facts.pop("call_name", f"Ray {self.key}"),
            sex=sex,
            born_on=born_on,
            born_precision="day",
            state_on=facts.pop("state_on", born_on),
            recorded_by=self.by,
            **facts,
        )


def _save(rows: Iterable[models.Model]) -> list[Any]:
    held = list(rows)
    if held:
        manager = getattr(type(held[0]), "every", type(held[0])._default_manager)
        manager.bulk_create(held, batch_size=AT_ONCE)
    return held


def fill(
    by: Person,
    today: datetime.date,
    size: int,
    *,
    breeding: int = 0,
    weeks: int = YEARS * 52,
    signs: int = SIGHTINGS_A_YEAR,
) -> Grown:
    """Write a program of `size` animals; its species are on record, and nothing else is.

    breeding: so many females; weeks: of feedings and water tests; signs: of a female and year.
    """
    writer = _Writer(by, today, size, weeks, signs)
    grown = writer.grown
    grown.tanks = _save(
        Tank(
            pk=n + 1,
            name=f"Tank {n + 1}",
            kind="growing" if n % 3 == 2 else "breeding",
            volume_litres=1500,
            recorded_by=by,
        )
        for n in range(max(TESTED_TANKS, size // 100))
    )
    breeding = breeding or max(6, size // 40)
    founders = _founders(writer, breeding)
    _years(writer, founders, breeding)
    _people(writer)
    _tests(writer)
    _meals(writer)
    revisions.parentage_changed()
    return grown


def _founders(writer: _Writer, breeding: int) -> tuple[list[Animal], list[Animal]]:
    born = writer.day(YEARS + 3)
    rays = [writer.animal("FFM"[n % 3], born, origin="wild") for n in range(breeding * 3 // 2)]
    _save(rays)
    species = Species.objects.get(key="motoro")
    _save(SpeciesShare(animal=one, species=species, share=Fraction(1)) for one in rays)
    writer.born += rays
    return [one for one in rays if one.sex == "F"], [one for one in rays if one.sex == "M"]


def _years(writer: _Writer, breeders: tuple[list[Animal], list[Animal]], breeding: int) -> None:
    """Year after year: a part of the breeders is followed by young that are grown, and litters."""
    females, males = breeders
    draw, grown = writer.draw, writer.grown
    young = max(1, round((writer.size - len(writer.born)) / YEARS / LITTER))
    kept: list[Animal] = []
    gone: list[Animal] = []
    rows: dict[str, list[Any]] = {name: [] for name in ("signs", "scans", "pairings", "looks")}
    kinds = {kind.key: kind for kind in SignKind.objects.all()}
    others = [kind for kind in kinds.values() if kind.key not in ("other", "copulation")]
    litters: list[tuple[Litter, Animal, list[Animal]]] = []
    outcome_key = litter_key = 0
    for year in range(YEARS, 0, -1):
        grown_up = [one for one in kept if one.born_on and one.born_on < writer.day(year + 3)]
        for sex, line in (("F", females), ("M", males)):
            after = [one for one in grown_up if one.sex == sex][: max(1, len(line) // 5)]
            for one in after:
                left = line.pop(0)
                left.state, left.state_on = "left", writer.day(year)
                gone.append(left)
                line.append(one)
                kept.remove(one)
        for n in range(young):
            dam = females[(n + year * young) % len(females)]
            sire = males[draw.randrange(len(males))]
            # Two litters of a female are half a year apart at least.
            turn = n // len(females)
            turns = max(1, -(-young // len(females)))
            born_on = writer.day(year - (turn + draw.random() * 0.6) / turns)
            if born_on > writer.today - 2 * DAY:
                born_on = writer.today - 2 * DAY
            mated = born_on - GESTATION * DAY + DAY * draw.randrange(-4, 5)
            outcome_key, litter_key = outcome_key + 1, litter_key + 1
            outcome = Outcome(
                pk=outcome_key, female=dam, on=born_on, kind="live_birth", recorded_by=writer.by
            )
            litter = Litter(
                pk=litter_key,
                code=f"{born_on:%y}-{litter_key:05d}",
                dam=dam,
                born_on=born_on,
                outcome=outcome,
                recorded_by=writer.by,
            )
            pups = [
                writer.animal(
                    draw.choice("FM"),
                    born_on,
                    code=f"{litter.code}-{number + 1}",
                    call_name="",
                    origin="here",
                    dam=dam,
                    sire=sire,
                )
                for number in range(LITTER)
            ]
            litters.append((litter, sire, pups))
            rows["pairings"].append(
                Pairing(
                    female=dam,
                    male=sire,
                    introduced_on=mated - 10 * DAY,
                    separated_on=mated + TOGETHER * DAY,
                    moved="male",
                    recorded_by=writer.by,
                )
            )
            rows["signs"].append(_sign(writer, dam, kinds["copulation"], mated, sire))
            rows["scans"].append(
                Scan(female=dam, on=mated + 60 * DAY, positive=True, recorded_by=writer.by)
            )
            kept += pups[: 1 + (n % 2)]
            for pup in pups[1 + (n % 2) :]:
                left_on = born_on + DAY * (YOUNG_STAY + draw.randrange(150))
                if left_on < writer.today:
                    pup.state, pup.state_on = "left", left_on
                    gone.append(pup)
        for female in females:
            for n in range(writer.signs):
                on = writer.day(year - n / writer.signs) - DAY
                rows["signs"].append(_sign(writer, female, others[draw.randrange(len(others))], on))
        for one in kept[: max(0, len(kept) - young)]:  # too many are kept: they go, grown
            if one.born_on and one.born_on < writer.day(year + 4):
                one.state, one.state_on = "left", writer.day(year)
                gone.append(one)
                kept.remove(one)
    grown.females, grown.males = females, males
    for female in females[::3]:  # together now
        rows["pairings"].append(
            Pairing(
                female=female,
                male=males[female.pk % len(males)],
                introduced_on=writer.today - 20 * DAY,
                recorded_by=writer.by,
            )
        )
    Animal.every.bulk_update(writer.born, ["state", "state_on"], batch_size=500)
    _save(pup for _, _, pups in litters for pup in pups)
    _save(litter.outcome for litter, *_ in litters)
    grown.litters = _save(litter for litter, *_ in litters)
    _save(
        Pup(litter=litter, number=number + 1, sex=pup.sex, disc_width_mm=95, animal=pup)
        for litter, _, pups in litters
        for number, pup in enumerate(pups)
    )
    writer.born += [pup for _, _, pups in litters for pup in pups]
    grown.pairings = _save(rows["pairings"])
    _save(rows["scans"])
    _save(rows["signs"])
    _stays(writer)
    _sizes(writer)
    first = writer.day(1)
    grown.pups = [
        one for one in writer.born if one.state == "here" and one.born_on and one.born_on > first
    ]


def _sign(
    writer: _Writer,
    female: Animal,
    kind: SignKind,
    on: datetime.date,
    male: Animal | None = None,
) -> Sighting:
    at = datetime.datetime.combine(on, datetime.time(writer.draw.randrange(6, 20)), datetime.UTC)
    return Sighting(
        female=female,
        kind=kind,
        seen_at=at,
        male=male,
        severity=1 if kind.asks_severity else None,
        recorded_by=writer.by,
    )


def _stays(writer: _Writer) -> None:
    """Females, males and young in tanks of their own."""
    tanks = writer.grown.tanks
    by_sex = {"F": tanks[0::3], "M": tanks[1::3]}
    breeders = {one.pk for one in (*writer.grown.females, *writer.grown.males)}

    def tank_of(one: Animal) -> Tank:
        line = by_sex[one.sex] if one.origin == "wild" or one.pk in breeders else tanks[2::3]
        return line[one.pk % len(line)]

    _save(
        Stay(
            animal=one,
            tank=tank_of(one),
            since=one.born_on or writer.today,
            until=one.state_on if one.state == "left" else None,
            recorded_by=writer.by,
        )
        for one in writer.born
    )


def _sizes(writer: _Writer) -> None:
    """At birth, and of those here every three months since, as a rule and a scale tell them.

    Sizes that follow a curve exactly have the fits look for a spread that is not there.
    """
    scatter = random.Random(writer.size)  # noqa: S311  (the same rows each time)

    def of(one: Animal) -> Iterator[tuple[datetime.date, int]]:
        if one.born_on is None:
            return
        yield one.born_on, 95
        if one.state == "here":
            months = min(30, (writer.today - one.born_on).days // 30)
            for month in range(3, months, 3):
                width = 95 + 12 * month + scatter.gauss(0, RULE_MM)
                yield one.born_on + 30 * month * DAY, round(width)

    _save(
        Measurement(
            animal=one,
            on=on,
            disc_width_mm=width,
            weight_g=round(2 * width * math.exp(scatter.gauss(0, WEIGHT_SPREAD))),
            recorded_by=writer.by,
        )
        for one in writer.born
        for on, width in of(one)
    )


def _people(writer: _Writer) -> None:
    """1,000 people (fewer beside few animals): wishes, and who has gone to them."""
    count = min(PEOPLE, writer.size)
    people = _save(
        Contact(pk=n + 1, name=f"Person {n + 1}", recorded_by=writer.by) for n in range(count)
    )
    writer.grown.contacts = people
    species = Species.objects.get(key="motoro")
    _save(
        Wish(
            contact=one,
            wished_on=writer.day(writer.draw.random() * 2),
            species=species if n % 2 else None,
            sex=("", "F", "M")[n % 3],
            least_disc_width_mm=150 if n % 5 == 0 else None,
            recorded_by=writer.by,
        )
        for n, one in enumerate(people)
    )
    _save(
        HandOver(
            animal=one,
            contact=people[one.pk % count],
            on=one.state_on,
            price=300,
            currency="EUR",
            transport="own_car",
            recorded_by=writer.by,
        )
        for one in writer.born
        if one.state == "left" and one.state_on
    )


def _tests(writer: _Writer) -> None:
    def rows() -> Iterator[WaterTest]:
        for week in range(writer.weeks):
            on = writer.today - DAY * (7 * week + 1)
            at = datetime.datetime.combine(on, datetime.time(9), datetime.UTC)
            for n, tank in enumerate(writer.grown.tanks[:TESTED_TANKS]):
                yield WaterTest(
                    tank=tank,
                    tested_at=at,
                    ph=Decimal("6.8") + Decimal(n % 5) / 10,
                    temperature_c=Decimal(27),
                    ammonia_mg_l=Decimal(0),
                    nitrite_mg_l=Decimal(0),
                    nitrate_mg_l=Decimal(10 + week % 10),
                    recorded_by=writer.by,
                )

    writer.grown.water_tests = _save(rows())
    _save(
        Look(tank=tank, on=writer.today - DAY * n, recorded_by=writer.by)
        for tank in writer.grown.tanks
        for n in range(1, 60)
    )


def _meals(writer: _Writer) -> None:
    """A round a week in each tank, and of the last two months what each animal made of it."""
    food = Food.objects.get_or_create(name="Tank worms", defaults={"recorded_by": writer.by})[0]
    tanks = writer.grown.tanks
    noon = timezone.make_aware(datetime.datetime.combine(writer.today, datetime.time(12)))
    rounds = _save(
        Feeding(
            food=food,
            fed_at=noon - DAY * (7 * week + 1),
            tank=tank,
            amount_g=20,
            recorded_by=writer.by,
        )
        for week in range(writer.weeks)
        for tank in tanks
    )
    here: dict[int, list[int]] = {}
    for animal, tank in Stay.objects.filter(until=None).values_list("animal", "tank"):
        here.setdefault(tank, []).append(animal)
    _save(
        Meal(
            feeding=one,
            animal_id=animal,
            fed_at=one.fed_at,
            took="none" if writer.draw.random() < 0.02 else "all",
        )
        for one in rounds[: 8 * len(tanks)]
        for animal in here.get(one.tank_id, ())
    )


def on_record(size: int) -> Grown:
    """The program of this size as the database holds it; written first where it is empty."""
    from django.core.management import call_command

    from breeding.program import clock
    from tests import cast

    if not Person.objects.exists():
        call_command("load_species", verbosity=0)
        owner = cast.owner()
        fill(owner, clock.today(), size)
    by = Person.objects.get(username="jo")
    here = Animal.objects.filter(state="here")
    since = clock.today() - 365 * DAY
    breeds = {"sightings__isnull": False, "born_on__lt": since}
    return Grown(
        by,
        clock.today(),
        size,
        females=list(here.filter(sex="F", **breeds).distinct().order_by("pk")),
        males=list(here.filter(sex="M", pairings_as_male__isnull=False).distinct().order_by("pk")),
        pups=list(here.filter(born_on__gte=since).order_by("pk")),
        tanks=list(Tank.objects.order_by("pk")),
        water_tests=list(WaterTest.objects.order_by("pk")),
        litters=list(Litter.objects.order_by("born_on")),
        pairings=list(Pairing.objects.order_by("pk")),
        contacts=list(Contact.objects.order_by("pk")),
    )
