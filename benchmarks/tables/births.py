"""Tables of births as a keeper brings them in; they go with `programs/grown.py`."""

import datetime
from collections.abc import Callable
from fractions import Fraction
from typing import TYPE_CHECKING

from benchmarks.tables.rows import DAY, Rows, as_csv, old_ones

if TYPE_CHECKING:
    from benchmarks.programs.grown import Grown
    from breeding.animals.models import Animal

_Born = tuple["Animal | None", "Animal | None", datetime.date]
_OnRecord = Callable[[int, "Animal", "Animal", datetime.date], _Born]


def births(grown: "Grown", rows: int) -> str:
    """Two pups each, born dead: the figures of births whose young are no animals of their own."""
    return _births(grown, rows, "0,2")


def births_with_young(grown: "Grown", rows: int) -> str:
    """One pup each that lives, and becomes an animal."""
    return _births(grown, rows, "1,0")


def births_with_weights(grown: "Grown", rows: int) -> str:
    """A living female and a dead pup, of which the first was weighed."""
    head, *lines = _births(grown, rows, "1,1").splitlines()
    return as_csv(
        f"{head},females,weights", ((line, "1", f"{80 + n % 9} g") for n, line in enumerate(lines))
    )


def births_with_both_sizes(grown: "Grown", rows: int) -> str:
    """The same, and how wide it was."""
    head, *lines = births_with_weights(grown, rows).splitlines()
    return as_csv(f"{head},widths", ((line, f"{105 + n % 9} mm") for n, line in enumerate(lines)))


def births_of_young(grown: "Grown", rows: int) -> str:
    """Of one pup each that is an animal on record, which every second row names."""
    return _births_of(grown, rows, lambda n, dam, sire, born_on: (dam, sire, born_on))


def births_with_sizes_of_young(grown: "Grown", rows: int) -> str:
    """The same with what each weighed, and every fourth of them is weighed on record already."""
    from breeding.animals.models import Animal, Measurement

    head, *lines = births_of_young(grown, rows).splitlines()
    young = Animal.every.filter(code__startswith="Y").order_by("code")
    Measurement.objects.bulk_create(
        Measurement(animal=one, on=one.born_on, weight_g=82) for one in young[::4]
    )
    return as_csv(f"{head},weights", ((line, f"{80 + n % 9} g") for n, line in enumerate(lines)))


def births_that_change_young(grown: "Grown", rows: int) -> str:
    """The same of young whose dam, sire or day by turns is another on record."""
    return _births_of(grown, rows, _otherwise)


def births_that_change_parents(grown: "Grown", rows: int) -> str:
    """The same of young of whom each has young of its own."""
    from breeding.animals.models import Animal

    table = births_that_change_young(grown, rows)
    young = Animal.every.filter(code__startswith="Y").order_by("code")
    on = {"born_on": grown.today, "born_precision": "day", "state_on": grown.today}
    Animal.every.bulk_create(
        (Animal(code=f"Z{one.code}", sire=one, **on) for one in young), batch_size=500
    )
    return table


def births_of_unsure_sires(grown: "Grown", rows: int) -> str:
    """The same of young with two possible sires each, of which every second row names the sire."""
    from breeding.animals.models import Animal, PossibleSire

    head, *lines = _births_of(grown, rows, _of_nobody, names_all=True).splitlines()
    young = Animal.every.filter(code__startswith="Y").order_by("code")
    males = list(Animal.every.filter(code__startswith="O", sex="M")[:2])
    PossibleSire.objects.bulk_create(
        PossibleSire(animal=one, sire=sire, share=Fraction(1, 2)) for one in young for sire in males
    )
    cells = [line.split(",") for line in lines]
    return as_csv(
        head, ((dam, sire if n % 2 else "", *more) for n, (dam, sire, *more) in enumerate(cells))
    )


def births_of_those_who_breed(grown: "Grown", rows: int) -> str:
    """Of females that are on record without a parent, and then of their own young, born dead."""
    from breeding.animals.models import Animal

    head, *lines = _births(grown, -(-rows // 2), "1,0").splitlines()
    before, day = 1_400 * DAY, datetime.date.fromisoformat
    cells = [line.split(",") for line in lines]
    Animal.every.filter(code__startswith="O").update(born_on=grown.today - 3_500 * DAY)
    young = Animal.every.bulk_create(
        Animal(code=f"Y{n:06d}", sex="F", born_on=day(born) - before, born_precision="day")
        for n, (_, _, born, *_) in enumerate(cells)
    )

    def each() -> Rows:
        for (dam, sire, born, *_), one in zip(cells, young, strict=True):
            yield dam, sire, day(born) - before, 1, 0, one.code
            yield one.code, sire, day(born), 0, 2, ""

    return as_csv(f"{head},young", each())


def _births(grown: "Grown", rows: int, pups: str) -> str:
    dams, sires = old_ones(grown, -(-rows // 5)), old_ones(grown, 50, "M")

    def each() -> Rows:
        for n in range(rows):
            on = grown.today - DAY * (120 * (n // len(dams)) + 10)
            yield dams[n % len(dams)].code, sires[n % len(sires)].code, on, pups

    return as_csv("dam,sire,born,alive,dead", each())


def _otherwise(n: int, dam: "Animal", sire: "Animal", born_on: datetime.date) -> "_Born":
    if n % 8 == 1:
        return dam, sire, born_on - DAY
    return (dam, None, born_on) if n % 2 else (None, sire if n % 4 else None, born_on)


def _of_nobody(n: int, dam: "Animal", sire: "Animal", born_on: datetime.date) -> "_Born":
    return None, None, born_on


def _births_of(
    grown: "Grown", rows: int, on_record: "_OnRecord", *, names_all: bool = False
) -> str:
    """on_record: the parents that the young have, and its day, by the row and what this says."""
    from breeding.animals.models import Animal

    head, *lines = _births(grown, rows, "1,0").splitlines()
    parents = {one.code: one for one in Animal.every.filter(code__startswith="O")}
    young = []
    for n, line in enumerate(lines):
        its_dam, its_sire, day, *_ = line.split(",")
        on = datetime.date.fromisoformat(day)
        dam, sire, born_on = on_record(n, parents[its_dam], parents[its_sire], on)
        facts = {"dam": dam, "sire": sire, "born_precision": "day", "state_on": born_on}
        young.append(Animal(code=f"Y{n:06d}", born_on=born_on, **facts))
    Animal.every.bulk_create(young, batch_size=500)
    names = ("" if n % 2 and not names_all else one.code for n, one in enumerate(young))
    return as_csv(f"{head},young", zip(lines, names, strict=True))
