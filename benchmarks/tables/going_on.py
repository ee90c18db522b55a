"""Tables of what goes on, or begins once more, and of who may be kept apart."""

from typing import TYPE_CHECKING

from benchmarks.tables.rows import DAY, Rows, as_csv, old_ones

if TYPE_CHECKING:
    from benchmarks.programs.grown import Grown
    from breeding.animals.models import Animal

GROUP = 6  # in a tank: a male and his females


def _groups(grown: "Grown", number: int, name: str, days: int) -> "list[list[Animal]]":
    """So many in tanks of their own since so many days, the male first in each."""
    from breeding.housing.models import Stay, Tank

    groups = -(-number // GROUP)
    females, males = old_ones(grown, groups * (GROUP - 1)), old_ones(grown, groups, "M")
    tanks = Tank.objects.bulk_create(Tank(name=f"{name} {n}") for n in range(groups))
    found = [[males[n], *females[n * (GROUP - 1) : (n + 1) * (GROUP - 1)]] for n in range(groups)]
    Stay.objects.bulk_create(
        Stay(animal=one, tank=tank, since=grown.today - days * DAY)
        for tank, group in zip(tanks, found, strict=True)
        for one in group
    )
    return found


def pairings_going_on(grown: "Grown", rows: int) -> str:
    """Of females with the male in their tank, and before some an earlier pairing that is over."""
    over = rows // 4
    groups = _groups(grown, -(-(rows - over) * GROUP // (GROUP - 1)), "Paired", 400)
    pairs = [(her, him) for him, *hers in groups for her in hers]

    def each() -> Rows:
        for n, (her, him) in enumerate(pairs[: rows - over]):
            yield her.code, him.code, grown.today - DAY * (n % 300), ""
            if n < over:
                on = grown.today - DAY * (500 + n % 300)
                yield her.code, him.code, on, on + 20 * DAY

    return as_csv("female,male,from,to", each())


def pairings_from_afar(grown: "Grown", rows: int) -> str:
    """Of females with a male of another tank, each in company of her own male before."""
    groups = _groups(grown, -(-rows * GROUP // (GROUP - 1)), "Apart from", 400)
    males = [group[0] for group in groups]
    hers = [(her, n) for n, (_, *females) in enumerate(groups) for her in females]

    def each() -> Rows:
        for n, (her, at) in enumerate(hers[:rows]):
            him = males[(at + 1) % len(males)]
            yield her.code, him.code, grown.today - DAY * (n % 300), "by choice"

    return as_csv("female,male,from,reason", each())


def loans_going_on(grown: "Grown", rows: int) -> str:
    """Out of their tanks, every fourth lent by somebody; of every fifth an earlier one as well."""
    over = rows // 5
    lent = [one for group in _groups(grown, rows - over, "Lent from", 900) for one in group]

    def each() -> Rows:
        for n, one in enumerate(lent[: rows - over]):
            name = grown.contacts[n % len(grown.contacts)].name
            yield one.code, "in" if n % 4 == 3 else "out", name, grown.today - DAY * (n % 300), ""
            if n < over:
                on = grown.today - DAY * (1_000 + n % 300)
                yield one.code, "out", name, on, on + 20 * DAY

    return as_csv("animal,direction,with whom,since,back on", each())


def loans_of_those_apart(grown: "Grown", rows: int) -> str:
    """Of animals that were in quarantine by word, or in tanks for it, some when they go."""
    lent = _kept_apart(grown, rows)

    def each() -> Rows:
        for n, one in enumerate(lent):
            name = grown.contacts[n % len(grown.contacts)].name
            yield one.code, "out", name, grown.today - DAY * (n % 300)

    return as_csv("animal,direction,with whom,since", each())


def sales_of_those_apart(grown: "Grown", rows: int) -> str:
    """The same that are sold."""
    sold = _kept_apart(grown, rows)

    def each() -> Rows:
        for n, one in enumerate(sold):
            name = grown.contacts[n % len(grown.contacts)].name
            yield one.code, name, grown.today - DAY * (n % 300), "own car"

    return as_csv("animal,buyer,date,transport", each())


def _kept_apart(grown: "Grown", rows: int) -> "list[Animal]":
    from breeding.health.models import Quarantine
    from breeding.housing.models import Stay, Tank

    groups = _groups(grown, rows, "Came to", 400)
    kept = [one for group in groups for one in group][:rows]
    begun = grown.today - DAY * 450
    Quarantine.objects.bulk_create(
        Quarantine(animal=one, since=begun, ended_on=begun + DAY * 40, result="clear")
        if n % 8
        else Quarantine(animal=one, since=grown.today - DAY * 310)
        for n, one in enumerate(kept)
        if n % 2 == 0
    )
    apart = Tank.objects.bulk_create(
        Tank(name=f"Kept in {n}", kind="quarantine") for n in range(len(groups))
    )
    Stay.objects.bulk_create(
        Stay(animal=one, tank=apart[n // GROUP], since=begun, until=begun + DAY * (50 - n % 7))
        for n, one in enumerate(kept)
    )
    return kept


def quarantines_once_more(grown: "Grown", rows: int) -> str:
    """Of each animal one that is over and one that goes on, and every tenth time one between."""
    apart = old_ones(grown, rows // 2)

    def each() -> Rows:
        for n, one in enumerate(apart):
            yield one.code, grown.today - DAY * (n % 60), 30, "", ""
            on = grown.today - DAY * (200 + n % 60)
            yield one.code, on, 30, on + 30 * DAY, "clear"

    return as_csv("animal,quarantine from,days,ended on,result", each())


def quarantines_twice(grown: "Grown", rows: int) -> str:
    """Of animals in quarantine by word already: each of them is refused."""
    from breeding.health.models import Quarantine

    apart = old_ones(grown, rows)
    Quarantine.objects.bulk_create(
        Quarantine(animal=one, since=grown.today - DAY * 100) for one in apart
    )
    each = ((one.code, grown.today - DAY * (n % 60), 30) for n, one in enumerate(apart))
    return as_csv("animal,quarantine from,days", each)
