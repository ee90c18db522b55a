"""From the young of a year to its figures: rates by dam, sire and pair, survival, losses; pure."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from breeding.planning.year.statistics import Rate, Step, chance_if_even, rate_of, survival
from breeding.planning.year.young import Young
from breeding.words.language import message, tell

FIRST_DAYS = 30
NOT_CERTAIN, NOT_KNOWN = message("sire not certain"), message("sire not known")
NO_CAUSE = message("no cause on record")
Names = Mapping[int, str]


@dataclass(frozen=True)
class Part:
    """The figures of some of the young: all of a year, those of one dam, sire or pair.

    pages: the animals that it is named by. thirty: of those born alive and known so far, who lived
    to 30 days; leaving: who left alive or reached the age for it. not_yet: born alive, and
    nothing can be said of 30 days.
    """

    name: str
    pages: tuple[int, ...]
    litters: int
    born: int
    alive: Rate
    thirty: Rate
    leaving: Rate
    not_yet: int
    males: int
    females: int

    @property
    def sex_unknown(self) -> int:
        return self.born - self.males - self.females

    @property
    def chance_if_even(self) -> float | None:
        return chance_if_even(self.males, self.females)


@dataclass(frozen=True)
class YearReport:
    """A year's figures. losses: what those born alive died of, the most first."""

    whole: Part
    years: list[Part]
    dams: list[Part]
    sires: list[Part]
    pairs: list[Part]
    steps: list[Step]
    losses: list[tuple[str, int]]
    dead_at_birth: int
    died: int
    last_days: int  # the greatest age at which one was still watched
    day_unknown: int  # born alive and gone, on a day that is not on record


def report_of(
    young: Sequence[Young], litters: Mapping[int, int], names: Names, *, label: str
) -> YearReport:
    """litters: the dam of each litter, also of one without a pup on record."""
    of_dam = Counter(litters.values())
    by_dam: dict[int, list[Young]] = {dam: [] for dam in of_dam}
    for one in young:
        by_dam[one.dam].append(one)
    dams = [_part(names[dam], (dam,), some, of_dam[dam]) for dam, some in by_dam.items()]
    lives = [one.life for one in young]
    return YearReport(
        whole=_part(label, (), young, len(litters)),
        years=sorted(
            _parts(young, lambda one: (str(one.born_on.year), ())),
            key=lambda one: one.name,
            reverse=True,
        ),
        dams=sorted(dams, key=_most_first),
        sires=sorted(_parts(young, lambda one: _sire(one, names)), key=_most_first),
        pairs=sorted(_parts(young, lambda one: _pair(one, names)), key=_most_first),
        steps=survival([one for one in lives if one is not None]),
        losses=_losses(young),
        dead_at_birth=sum(1 for one in young if not one.was_alive),
        died=sum(1 for one in young if one.fate == "died"),
        last_days=max((one.days for one in lives if one is not None), default=0),
        day_unknown=sum(1 for one in young if one.was_alive and one.days is None),
    )


def _sire(one: Young, names: Names) -> tuple[str, tuple[int, ...]]:
    """Young of several possible sires count for none of them: they stand in a row of their own."""
    if len(one.sires) == 1:
        return names[one.sires[0]], one.sires
    return tell(NOT_CERTAIN if one.sires else NOT_KNOWN), ()


def _pair(one: Young, names: Names) -> tuple[str, tuple[int, ...]]:
    sire, of_sire = _sire(one, names)
    return tell("{dam} and {sire}", dam=names[one.dam], sire=sire), (one.dam, *of_sire)


def _parts(
    young: Iterable[Young], named: Callable[[Young], tuple[str, tuple[int, ...]]]
) -> list[Part]:
    groups: dict[tuple[str, tuple[int, ...]], list[Young]] = {}
    for one in young:
        groups.setdefault(named(one), []).append(one)
    return [
        _part(name, pages, rows, len({one.litter for one in rows}))
        for (name, pages), rows in groups.items()
    ]


def _part(name: str, pages: tuple[int, ...], young: Sequence[Young], litters: int) -> Part:
    alive = [one for one in young if one.was_alive]
    thirty = [one.lived_to(FIRST_DAYS) for one in alive]
    sexes = Counter(one.sex for one in young)
    return Part(
        name=name,
        pages=pages,
        litters=litters,
        born=len(young),
        alive=rate_of(len(alive), len(young)),
        thirty=_known(thirty),
        leaving=_known([one.lived_to_leave for one in alive]),
        not_yet=sum(1 for one in thirty if one is None),
        males=sexes["M"],
        females=sexes["F"],
    )


def _known(said: Sequence[bool | None]) -> Rate:
    """Of those of whom it is known."""
    return rate_of(sum(1 for one in said if one), sum(1 for one in said if one is not None))


def _losses(young: Iterable[Young]) -> list[tuple[str, int]]:
    died = Counter(one.cause or tell(NO_CAUSE) for one in young if one.fate == "died")
    return sorted(died.items(), key=lambda row: (-row[1], row[0]))


def _most_first(part: Part) -> tuple[int, str]:
    return -part.born, part.name
