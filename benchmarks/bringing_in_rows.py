"""Tables as a keeper brings them in, of each kind; they go with a program of `pages_rows.py`."""

import datetime
import random
from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from benchmarks.pages_rows import Grown

DAY = datetime.timedelta(days=1)
YOUNG_WIDTH_CM, GROWS_CM_A_MONTH = 9.5, 1.2  # as in the program: 12 mm in thirty days
SIGNS = 3  # of the program's, those seen by turns

Rows = Iterator[tuple[object, ...]]
Table = Callable[["Grown", int], str]


def _csv(header: str, rows: Rows) -> str:
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

    return _csv("code,name,sex,born,dam,sire,width,measured on", each())


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

    return _csv("animal,date,width,weight,condition", each())


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

    return _csv("animal,sign,date,time", each())


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

    return _csv("date,tank,animals,food,grams,took", each())


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
    return _csv("tank,date,temperature,ph,nh4,no2,no3,read as,ec", each)


def changes(grown: "Grown", rows: int) -> str:
    return _csv(
        "tank,date,percent", ((tank, at, 30 + n % 20) for n, tank, at in _of_tanks(grown, rows))
    )


def stays(grown: "Grown", rows: int) -> str:
    """Earlier stays of the grown males, two days each, in tanks with nobody else."""
    from breeding.housing.models import Stay

    held = set(Stay.objects.values_list("tank", flat=True))
    free = [one for one in grown.tanks if one.pk not in held] or grown.tanks

    def each() -> Rows:
        for n in range(rows):
            one, turn = grown.males[n % len(grown.males)], n // len(grown.males)
            on = (one.born_on or grown.today) + DAY * (300 + 2 * turn)
            yield one.code, free[turn % len(free)].name, on, on + DAY

    return _csv("animal,tank,from,to", each())


def people(_grown: "Grown", rows: int) -> str:
    return _csv("name,mail", ((f"Someone {n}", f"{n}@example.org") for n in range(rows)))


def refused(grown: "Grown", rows: int) -> str:
    """Measurements of which every tenth is of before its animal was born."""
    head, *lines = measurements(grown, rows).splitlines()
    codes = {one.code: one for one in (*grown.pups, *grown.females, *grown.males)}
    for n in range(0, len(lines), 10):
        code, _, *further = lines[n].split(",")
        born = codes[code].born_on or grown.today
        lines[n] = ",".join([code, str(born - DAY), *further])
    return "\n".join([head, *lines])


# By what is measured: the kind of the rows, the table, and the models that it writes.
TABLES: Mapping[str, tuple[str, Table, tuple[str, ...]]] = {
    "animals": ("animals", animals, ("animals.Animal", "animals.Measurement")),
    "measurements": ("measurements", measurements, ("animals.Measurement",)),
    "sightings": ("sightings", sightings, ("pairings.Sighting",)),
    "feedings": ("feedings", feedings, ("feeding.Feeding", "feeding.Meal")),
    "water tests": ("water", water, ("housing.WaterTest",)),
    "water changes": ("changes", changes, ("housing.WaterChange",)),
    "stays": ("stays", stays, ("housing.Stay",)),
    "people": ("people", people, ("buyers.Contact",)),
    "refused": ("measurements", refused, ()),
}
