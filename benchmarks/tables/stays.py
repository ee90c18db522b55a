"""Tables of stays as a keeper brings them in; they go with `programs/grown.py`."""

from collections.abc import Sequence
from itertools import cycle
from typing import TYPE_CHECKING, Any

from benchmarks.tables.rows import DAY, Rows, as_csv, old_ones

if TYPE_CHECKING:
    from benchmarks.programs.grown import Grown
    from breeding.animals.models import Animal


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

    return as_csv("animal,tank,from,to", each())


def stays_together(grown: "Grown", rows: int) -> str:
    """Earlier stays of a female and a male together, two days each, in a tank of their own."""
    from breeding.housing.models import Tank

    pairs = list(zip(old_ones(grown, 50), old_ones(grown, 50, "M"), strict=True))
    tanks = Tank.objects.bulk_create(Tank(name=f"Beside {n}") for n in range(len(pairs)))

    def each() -> Rows:
        for n in range(rows):
            at, turn = n // 2 % len(pairs), n // 2 // len(pairs)
            on = grown.today - DAY * (900 - 4 * turn)
            yield pairs[at][n % 2].code, tanks[at].name, on, on + 2 * DAY

    return as_csv("animal,tank,from,to", each())


def stays_in_groups(grown: "Grown", rows: int) -> str:
    """Of groups of five females and a male, fifty days at a time, from one tank to another."""
    from breeding.housing.models import Tank

    groups = 40
    females, males = old_ones(grown, 5 * groups), old_ones(grown, groups, "M")
    tanks = Tank.objects.bulk_create(Tank(name=f"Group {n}") for n in range(groups))

    def each() -> Rows:
        for n in range(rows):
            at, turn = n % (6 * groups) // 6, n // (6 * groups)
            one = males[at] if n % 6 == 5 else females[5 * at + n % 6]
            on = grown.today - DAY * (900 - 50 * turn)
            yield one.code, tanks[(at + turn) % groups].name, on, on + 50 * DAY

    return as_csv("animal,tank,from,to", each())


def stays_without_an_end(grown: "Grown", rows: int) -> str:
    """Females and males, six to a tank, each moved in, and half a year later on to the next one."""
    from breeding.housing.models import Tank

    number = -(-rows // 12)  # of tanks
    females, males = old_ones(grown, 5 * number), old_ones(grown, number, "M")
    tanks = Tank.objects.bulk_create(Tank(name=f"Moved to {n}") for n in range(number))

    def each() -> Rows:
        for n in range(rows):
            turn, at = divmod(n, 6 * number)
            group, place = divmod(at, 6)
            one = males[group] if place == 5 else females[5 * group + place]
            on = grown.today - DAY * (700 - 180 * turn - group % 300 - 2 * place)
            yield one.code, tanks[(group + turn) % number].name, on

    return as_csv("animal,tank,from", each())


def stays_while_treated(grown: "Grown", rows: int) -> str:
    """The same, each while it or the water it comes to is treated: asked, and why is said."""
    from breeding.animals.models import Animal
    from breeding.health.models import Treatment
    from breeding.housing.models import Tank

    head, *lines = stays_without_an_end(grown, rows).splitlines()
    animals = {one.code: one for one in Animal.objects.filter(code__startswith="O")}
    moved = dict.fromkeys(line.split(",")[0] for line in lines)
    since = grown.today - DAY * 1_500
    treated: list[dict[str, Any]] = [
        {"animal": animals[code]} for n, code in enumerate(moved) if n % 3
    ]
    tanks = Tank.objects.filter(name__startswith="Moved to ")
    treated += [{"tank": one} for one in tanks if one.pk % 8 == 0]
    Treatment.objects.bulk_create(Treatment(remedy="Salt", since=since, **one) for one in treated)
    return as_csv(f"{head},reason", ((line, "by the vet") for line in lines))


def stays_on_sides(grown: "Grown", rows: int) -> str:
    """Earlier stays of pairs in tanks with a closed divider, which change sides every ten days."""
    from breeding.housing.models import Tank

    pairs = list(zip(old_ones(grown, 50), old_ones(grown, 50, "M"), strict=True))
    tanks = Tank.objects.bulk_create(
        Tank(name=f"Divided {n}", can_divide=True) for n in range(len(pairs))
    )

    def each() -> Rows:
        for n in range(rows):
            at, turn = n // 2 % len(pairs), n // 2 // len(pairs)
            on = grown.today - DAY * (900 - 10 * turn)
            side = ("left", "right")[(n + turn) % 2]
            yield pairs[at][n % 2].code, tanks[at].name, side, on, on + 10 * DAY

    return as_csv("animal,tank,side,from,to", each())


def stays_apart(grown: "Grown", rows: int) -> str:
    """Earlier stays of four newcomers at a time in tanks for quarantine, each met by those that
    come after it, and of those in quarantine by word with others."""
    from breeding.health.models import Quarantine
    from breeding.housing.models import Tank

    number = max(50, rows // 80)  # of tanks
    newcomers, told = old_ones(grown, 4 * number), old_ones(grown, number)
    since = grown.today - 800 * DAY
    Quarantine.objects.bulk_create(Quarantine(animal=one, since=since) for one in told)
    apart = Tank.objects.bulk_create(
        Tank(name=f"Apart {n}", kind="quarantine") for n in range(number)
    )
    besides = Tank.objects.bulk_create(Tank(name=f"With it {n}") for n in range(number))

    def each() -> Rows:
        for n in range(rows):
            turn, at = divmod(n, 5 * number)
            group, place = divmod(at, 5)
            on = grown.today - DAY * (780 - 45 * turn)
            if place == 4:
                yield told[group].code, besides[group].name, on, on + 40 * DAY
            elif turn % 2 and place == 3:
                yield newcomers[4 * group + place].code, besides[group].name, on + DAY, on + 9 * DAY
            else:
                begun = on + DAY * place
                name = apart[(group + turn) % number].name
                yield newcomers[4 * group + place].code, name, begun, on + 30 * DAY

    return as_csv("animal,tank,from,to", each())


def stays_of_this_week(grown: "Grown", rows: int) -> str:
    """Moves of the last days, six to a tank whose floor is measured: by turns one with room, one
    that they may grow out of and one that is too small. All were measured, and one of six grows."""
    return _this_week(grown, rows, growing=1, floors=((6_000, 2_200), (3_600, 1_480), (1_500, 800)))


def stays_of_growing_ones(grown: "Grown", rows: int) -> str:
    """The same of young alone, of whom by turns nobody and everybody is asked how they grow."""
    return _this_week(grown, rows, growing=6, floors=((6_000, 3_000), (2_600, 1_600)))


def _this_week(
    grown: "Grown", rows: int, *, growing: int, floors: Sequence[tuple[int, int]]
) -> str:
    """growing: how many of six; floors: length and width of the tanks by turns, in mm."""
    from breeding.housing.models import Tank

    number = -(-rows // 12)  # of tanks
    old = _measured(grown, 2_000, 440, 2, (6 - growing) * number)
    young = _measured(grown, 400, 210, 40, growing * number)
    tanks = Tank.objects.bulk_create(
        Tank(name=f"Measured {n}", length_mm=length, width_mm=width)
        for n, (length, width) in zip(range(number), cycle(floors), strict=False)
    )

    def each() -> Rows:
        for n in range(rows):
            turn, at = divmod(n, 6 * number)
            group, place = divmod(at, 6)
            of = growing * group + place if place < growing else (6 - growing) * group + place
            one = young[of] if place < growing else old[of - growing]
            on = grown.today - DAY * (6 - 3 * turn - group % 3)
            yield one.code, tanks[(group + turn) % number].name, on

    return as_csv("animal,tank,from", each())


def _measured(
    grown: "Grown", days: int, width_mm: int, grows_mm: int, number: int
) -> "list[Animal]":
    """So many days old, and measured four times."""
    from breeding.animals.models import Measurement

    born_on = grown.today - days * DAY
    found = old_ones(grown, number, "M", born_on=born_on, state_on=born_on)
    Measurement.objects.bulk_create(
        Measurement(
            animal=one,
            on=grown.today - DAY * ago,
            disc_width_mm=width_mm + grows_mm * k + (31 * n + n // 7 * k) % 9,
        )
        for n, one in enumerate(found)
        for k, ago in enumerate((250, 170, 90, 15))
    )
    return found


def stays_after_two_waters(grown: "Grown", rows: int) -> str:
    """The moves without an end, of animals that were in two treated waters before."""
    return _after_treatment(grown, rows, since=(1_500, 1_450), moved=(1_480, 1_400))


def stays_out_of_treated_water(grown: "Grown", rows: int) -> str:
    """The same of animals that left one treated water on the day on which the remedy came."""
    return _after_treatment(grown, rows, since=(1_480,), moved=(1_480, 1_400))


def _after_treatment(
    grown: "Grown", rows: int, *, since: Sequence[int], moved: tuple[int, int]
) -> str:
    """since: how many days ago the first waters were treated; moved: when they left them."""
    from breeding.animals.models import Animal
    from breeding.health.models import Treatment
    from breeding.housing.models import Stay, Tank

    head, *lines = stays_without_an_end(grown, rows).splitlines()
    animals = {one.code: one for one in Animal.objects.filter(code__startswith="O")}
    going = [animals[code] for code in dict.fromkeys(line.split(",")[0] for line in lines)]
    names = [(f"Treated {n}", f"Treated next {n}") for n in range(-(-len(going) // 6))]
    both = [Tank.objects.bulk_create(Tank(name=name) for name in pair) for pair in names]
    ended = [grown.today - DAY * days for days in moved]
    begun = [ended[0] - 30 * DAY, ended[0]]
    Stay.objects.bulk_create(
        Stay(animal=one, tank=tank, since=on, until=until)
        for n, one in enumerate(going)
        for tank, on, until in zip(both[n // 6], begun, ended, strict=True)
    )
    Treatment.objects.bulk_create(
        Treatment(remedy="Salt", tank=tank, since=grown.today - DAY * days)
        for pair in both
        for tank, days in zip(pair, since, strict=False)
    )
    return as_csv(f"{head},reason", ((line, "by the vet") for line in lines))
