"""Tables as a keeper brings them in, of each kind; they go with `programs/grown.py`."""

import datetime
import random
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from benchmarks.programs.grown import Grown
    from breeding.animals.models import Animal

DAY = datetime.timedelta(days=1)
YOUNG_WIDTH_CM, GROWS_CM_A_MONTH = 9.5, 1.2  # as in the program: 12 mm in thirty days
COMPANY = 9  # in a tank: a male and his females
SIGNS = 3  # of the program's, those seen by turns

Rows = Iterator[tuple[object, ...]]


def as_csv(header: str, rows: Rows) -> str:
    return "\n".join([header, *(",".join(map(str, row)) for row in rows)])


def animals(grown: "Grown", rows: int) -> str:
    """Young of the females that are here; every fourth is measured, every second has a name."""

    def each() -> Rows:
        for n in range(rows):
            dam = grown.females[n % len(grown.females)]
            sire = grown.males[n % len(grown.males)]
            born = grown.today - DAY * (2 + 10 * (n // len(grown.females) // 8 % 2))
            name = f"Young {n}" if n % 2 else ""
            size = f"9.5,{born}" if n % 4 == 0 else ","
            yield f"N{n:06d}", name, "FM"[n % 2], born, dam.code, sire.code, size

    return as_csv("code,name,sex,born,dam,sire,width,measured on", each())


def measurements(grown: "Grown", rows: int) -> str:
    """Of everybody here by turns, as they grew; no day is one that is on record already."""
    here = [*grown.pups, *grown.females, *grown.males]

    def each() -> Rows:
        for n in range(rows):
            one = here[n % len(here)]
            born = one.born_on or grown.today
            age = (grown.today - born).days
            on = born + DAY * max(1, round(age * (0.02 + 0.96 * (n // len(here) % 97) / 97)))
            months = min((on - born).days / 30, 30)
            width = YOUNG_WIDTH_CM + GROWS_CM_A_MONTH * min(months, 27)
            yield one.code, min(on, grown.today), f"{width:.1f}", f"{width * 20:.0f}", 3

    return as_csv("animal,date,width,weight,condition", each())


def sightings(grown: "Grown", rows: int) -> str:
    from breeding.pairings.models import SignKind

    draw = random.Random(rows)  # noqa: S311  (the same rows each time)
    known = SignKind.objects.filter(asks_severity=False).order_by("pk")
    signs = [one.label for one in known if one.key != "other"][:SIGNS]

    def each() -> Rows:
        for n in range(rows):
            one, turn = grown.females[n % len(grown.females)], n // len(grown.females)
            on = grown.today - DAY * (turn % 150 + 1)
            at = f"{draw.randrange(6, 20):02d}:{turn // 150 % 60:02d}"
            yield one.code, signs[n % len(signs)], on, at

    return as_csv("animal,sign,date,time", each())


def feedings(grown: "Grown", rows: int) -> str:
    """A round of a whole tank; every third of three animals by name."""

    from breeding.housing.models import Stay

    since = grown.today - 70 * DAY
    held = set(Stay.objects.filter(until=None, since__lt=since).values_list("tank", flat=True))
    tanks = [one for one in grown.tanks if one.pk in held]

    def each() -> Rows:
        for n in range(rows):
            tank, turn = tanks[n % len(tanks)], n // len(tanks)
            on = grown.today - DAY * (turn % 60 + 2)
            at = f"{on} {6 + turn // 60 % 14:02d}:{n % 60:02d}"
            names = ""
            if n % 3 == 0:
                three = (grown.females[(n + k) % len(grown.females)].code for k in range(3))
                names = "; ".join(dict.fromkeys(three))
            yield at, "" if names else tank.name, names, "Smelt", 20, "ate"

    return as_csv("date,tank,animals,food,grams,took", each())


def _of_tanks(grown: "Grown", rows: int) -> Iterator[tuple[int, str, str]]:
    for n in range(rows):
        tank, turn = grown.tanks[n % len(grown.tanks)], n // len(grown.tanks)
        on = grown.today - DAY * (turn % 2000 + 2)
        yield n, tank.name, f"{on} {10 + turn // 2000:02d}:{n % 60:02d}"


def water(grown: "Grown", rows: int) -> str:
    each = (
        (tank, at, 26 + n % 3, f"6.{n % 10}", 0, 0, n % 20, "ion", 200)
        for n, tank, at in _of_tanks(grown, rows)
    )
    return as_csv("tank,date,temperature,ph,nh4,no2,no3,read as,ec", each)


def changes(grown: "Grown", rows: int) -> str:
    return as_csv(
        "tank,date,percent", ((tank, at, 30 + n % 20) for n, tank, at in _of_tanks(grown, rows))
    )


def people(_grown: "Grown", rows: int) -> str:
    return as_csv("name,mail", ((f"Someone {n}", f"{n}@example.org") for n in range(rows)))


def old_ones(grown: "Grown", number: int, sex: str = "F", **facts: Any) -> "list[Animal]":
    """So many animals that are here since three years, of whom nothing else is on record."""
    from breeding.animals.models import Animal

    first = Animal.every.count()
    born_on = grown.today - 2_000 * DAY
    rows = [
        Animal(
            **{
                "code": f"O{first + n:06d}",
                "sex": sex,
                "born_on": born_on,
                "born_precision": "day",
                "state_on": grown.today - 1_000 * DAY,
                **facts,
            }
        )
        for n in range(number)
    ]
    return Animal.every.bulk_create(rows)


def pairings(grown: "Grown", rows: int) -> str:
    """Of pairs that nobody knows to be kin, a month each."""
    pairs = list(zip(old_ones(grown, 100), old_ones(grown, 100, "M"), strict=True))

    def each() -> Rows:
        for n in range(rows):
            her, him = pairs[n % len(pairs)]
            on = grown.today - DAY * (900 - 8 * (n // len(pairs)))
            yield her.code, him.code, on, on + 6 * DAY

    return as_csv("female,male,from,to", each())


def observations(grown: "Grown", rows: int) -> str:
    """Of the young here by turns, each over after a few days."""
    here = old_ones(grown, 500)
    kinds = ("wound", "not eating", "a scrape at the tail")

    def each() -> Rows:
        for n in range(rows):
            on = grown.today - DAY * (10 + 7 * (n // len(here)))
            yield here[n % len(here)].code, kinds[n % len(kinds)], on, on + 4 * DAY

    return as_csv("animal,symptom,from,to", each())


def treatments(grown: "Grown", rows: int) -> str:
    here = old_ones(grown, 500)

    def each() -> Rows:
        for n in range(rows):
            on = grown.today - DAY * (120 + 7 * (n // len(here)))
            yield here[n % len(here)].code, "Salt", "3 g/l", on, on + 4 * DAY, on + 20 * DAY

    return as_csv("animal,remedy,dose,from,to,hold until", each())


def sales(grown: "Grown", rows: int) -> str:
    """Animals that are here, each to somebody, some years ago."""
    sold = old_ones(grown, rows)

    def each() -> Rows:
        for n, one in enumerate(sold):
            on = grown.today - DAY * (30 + n % 900)
            yield one.code, f"{grown.contacts[n % len(grown.contacts)].name}", on, "350", "EUR"

    return as_csv(
        "animal,buyer,date,price,currency,transport", ((*row, "own car") for row in each())
    )


def sales_young(grown: "Grown", rows: int) -> str:
    """Young ones of a litter each, never measured nor fed by the records: asked about twice."""
    from breeding.litters.models import Litter, Pup
    from breeding.pairings.models import Outcome

    born_on = grown.today - 500 * DAY
    dam, young = old_ones(grown, 1)[0], old_ones(grown, rows, born_on=born_on, state_on=born_on)
    outcome = Outcome.objects.create(female=dam, on=born_on, kind="live_birth")
    litter = Litter.objects.create(code=f"L{dam.code}", dam=dam, born_on=born_on, outcome=outcome)
    Pup.objects.bulk_create(
        Pup(litter=litter, number=n, sex="F", animal=one) for n, one in enumerate(young, start=1)
    )

    def each() -> Rows:
        for n, one in enumerate(young):
            on = born_on + DAY * (50 + n % 200)
            yield one.code, f"{grown.contacts[n % len(grown.contacts)].name}", on, "own car"

    return as_csv("animal,buyer,date,transport", each())


def sales_after_company(grown: "Grown", rows: int) -> str:
    """Females that shared a tank with a male and were followed by him, and after some the male."""
    from breeding.housing.models import Stay, Tank
    from breeding.pairings.models import Sighting, SignKind

    number, since = -(-rows // COMPANY), grown.today - 1_000 * DAY
    females, males = old_ones(grown, rows - number), old_ones(grown, number, "M")
    tanks = Tank.objects.bulk_create(Tank(name=f"Sold from {n}") for n in range(number))
    sold = [(one, n // (COMPANY - 1)) for n, one in enumerate(females)]
    sold += [(one, n) for n, one in enumerate(males)]
    Stay.objects.bulk_create(Stay(animal=one, tank=tanks[at], since=since) for one, at in sold)
    days = {one: grown.today - DAY * (30 + n % 900) for n, one in enumerate(females)}
    days |= {one: grown.today - DAY * (30 + 450 * (n % 2)) for n, one in enumerate(males)}
    kind = SignKind.objects.get(key="following")
    Sighting.objects.bulk_create(
        Sighting(female=one, kind=kind, seen_at=_noon(days[one] - DAY * (20 + n % 200)))
        for n, one in enumerate(females)
    )

    def each() -> Rows:
        for n, (one, _) in enumerate(sold):
            yield one.code, grown.contacts[n % len(grown.contacts)].name, days[one], "own car"

    return as_csv("animal,buyer,date,transport", each())


def _noon(on: datetime.date) -> datetime.datetime:
    return datetime.datetime.combine(on, datetime.time(12), datetime.UTC)


def arrivals(grown: "Grown", rows: int) -> str:
    came = old_ones(grown, rows)

    def each() -> Rows:
        for n, one in enumerate(came):
            name = grown.contacts[n % len(grown.contacts)].name
            yield one.code, grown.today - DAY * (1_000 + n % 700), name, 200, "EUR"

    return as_csv("animal,came on,from whom,price,currency", each())


def loans(grown: "Grown", rows: int) -> str:
    """Lent and back again, in other years."""
    lent = old_ones(grown, 500)

    def each() -> Rows:
        for n in range(rows):
            on = grown.today - DAY * (30 + 60 * (n // len(lent)))
            name = grown.contacts[n % len(grown.contacts)].name
            yield lent[n % len(lent)].code, "out", name, on, on + 20 * DAY

    return as_csv("animal,direction,with whom,since,back on", each())


def quarantines(grown: "Grown", rows: int) -> str:
    apart = old_ones(grown, 500)

    def each() -> Rows:
        for n in range(rows):
            on = grown.today - DAY * (60 + 60 * (n // len(apart)))
            yield apart[n % len(apart)].code, on, 30, on + 30 * DAY, "clear"

    return as_csv("animal,quarantine from,days,ended on,result", each())


def quarantines_going_on(grown: "Grown", rows: int) -> str:
    """Of each of so many animals one, begun by word, and of every fifth an earlier one as well."""
    apart = old_ones(grown, rows)

    def each() -> Rows:
        for n, one in enumerate(apart[: rows - rows // 5]):
            yield one.code, grown.today - DAY * (n % 60), 30, "", ""
            if n % 4 == 0:
                on = grown.today - DAY * (200 + n % 60)
                yield one.code, on, 30, on + 30 * DAY, "clear"

    return as_csv("animal,quarantine from,days,ended on,result", each())


def deaths(grown: "Grown", rows: int) -> str:
    """Of animals that died by their own record already."""
    on = grown.today - 30 * DAY
    died = old_ones(grown, rows, state="died", state_on=on)
    return as_csv("animal,died on,cause,note", ((one.code, on, "illness", "thin") for one in died))


def deaths_first_told(grown: "Grown", rows: int) -> str:
    """Of animals that are here by their own record."""
    died = old_ones(grown, rows)
    each = ((one.code, grown.today - DAY * (n % 900), "illness") for n, one in enumerate(died))
    return as_csv("animal,died on,cause", each)


def looks(grown: "Grown", rows: int) -> str:
    from breeding.traits.models import Trait
    from breeding.traits.services import add_trait

    seen = old_ones(grown, 500)
    trait = Trait.objects.first() or add_trait(
        by=grown.by, name="Pearl", inheritance="recessive", founder_share="1/10"
    )

    def each() -> Rows:
        for n in range(rows):
            on = grown.today - DAY * (n // len(seen))
            yield seen[n % len(seen)].code, trait.name, "does not", on

    return as_csv("animal,trait,seen,on", each())


def reminders(grown: "Grown", rows: int) -> str:
    about = old_ones(grown, 500)
    return as_csv(
        "remind of,for,animal",
        (
            (f"Look at it {n}", grown.today + DAY * (n % 300), about[n % len(about)].code)
            for n in range(rows)
        ),
    )


def strains(_grown: "Grown", rows: int) -> str:
    return as_csv("strain,description", ((f"Line {n}", "pale") for n in range(rows)))


def species(_grown: "Grown", rows: int) -> str:
    each = ((f"Potamotrygon {_letters(n)}", f"Ray {n}") for n in range(rows))
    return as_csv("accepted name,trade name", each)


def _letters(number: int) -> str:
    return "nova" + "".join(chr(97 + int(one)) for one in str(number))


def refused(grown: "Grown", rows: int) -> str:
    """Measurements of which every tenth is of before its animal was born."""
    head, *lines = measurements(grown, rows).splitlines()
    codes = {one.code: one for one in (*grown.pups, *grown.females, *grown.males)}
    for n in range(0, len(lines), 10):
        code, _, *further = lines[n].split(",")
        born = codes[code].born_on or grown.today
        lines[n] = ",".join([code, str(born - DAY), *further])
    return "\n".join([head, *lines])
