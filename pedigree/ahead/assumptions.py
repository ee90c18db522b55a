"""What a look ahead takes for granted, with units, so that it can stand beside the picture."""

from dataclasses import dataclass, field, fields
from typing import Any, Literal

from pedigree.errors import LineageError


def _says(default: Any, words: str, unit: str, low: float, high: float | None, **how: Any) -> Any:
    return field(
        default=default, metadata={"says": words, "unit": unit, "low": low, "high": high, **how}
    )


@dataclass(frozen=True)
class Line:
    """One assumption as a page prints it; `value` is as given, in `unit`."""

    name: str
    says: str
    value: float | None
    unit: str  # "years", "share", "litters", ...
    without: str = ""  # what no value means, where that is more than "none"


class WrongAssumption(LineageError):  # noqa: N818 - reads as a sentence
    """A figure that cannot be assumed; `name` is that of the assumption."""

    def __init__(self, name: str, words: str) -> None:
        self.name = name
        super().__init__(f"{name} {words}")


@dataclass(frozen=True)
class Assumptions:
    """Rates and limits of a simulated program; every one is an input, and none is known to hold.

    The defaults are assumptions of ours about a small program of live-bearing fishes; put the
    program's own figures in their place. Raises WrongAssumption for a value out of range.

    >>> Assumptions(deaths_grown=1.5)
    Traceback (most recent call last):
    pedigree.ahead.assumptions.WrongAssumption: deaths_grown is from 0 to 1 (share), not 1.5.
    >>> Assumptions().lines()[0]
    Line(name='years', says='years looked ahead', value=10, unit='years', without='')
    """

    years: int = _says(10, "years looked ahead", "years", 1, 100, whole=True)
    replicates: int = _says(200, "programs simulated", "programs", 1, 100_000, whole=True)
    females_paired: float = _says(0.8, "grown females that are paired in a year", "share", 0, 1)
    most_females_per_male: int = _says(
        3, "most females one male is put to in a year", "females", 1, None, whole=True
    )
    litters_per_pair: float = _says(
        1.0, "litters of a paired female in a year, on average", "litters", 0, 10
    )
    young_per_litter: float = _says(
        4.0, "young born alive in a litter, on average (at least one)", "young", 1, 100
    )
    females_at_birth: float = _says(0.5, "young that are female", "share", 0, 1)
    first_breeding_female: float = _says(
        3.0, "age from which females are paired, in years", "years", 1, None
    )
    first_breeding_male: float = _says(
        2.0, "age from which males are paired, in years", "years", 1, None
    )
    last_breeding: float | None = _says(
        None,
        "age from which nobody is paired any more, in years",
        "years",
        1,
        None,
        may_be_none=True,
    )
    deaths_first_year: float = _says(
        0.2, "young born alive that die in their first year", "share", 0, 1
    )
    deaths_grown: float = _says(0.05, "older ones that die in a year", "share", 0, 1)
    departures_young: float = _says(
        0.6, "surviving young that leave in their first year", "share", 0, 1
    )
    departures_grown: float = _says(0.05, "older ones that leave in a year", "share", 0, 1)
    places: int | None = _says(
        None,
        "most animals there is room for; beyond it young of the year leave",
        "animals",
        1,
        None,
        may_be_none=True,
        whole=True,
        without="as many as live today",
    )
    most_inbreeding: float | None = _says(
        None, "the largest F the plan accepts in young", "share", 0, 1, may_be_none=True
    )
    diversity: float = _says(
        0.5, "how much the plan minds rare genes rather than low F", "share", 0, 1
    )
    loci: int = _says(30, "genes followed from founder to young", "loci", 1, 10_000, whole=True)

    def __post_init__(self) -> None:
        for one in fields(self):
            _check(one.name, getattr(self, one.name), one.metadata)

    def lines(self) -> tuple[Line, ...]:
        """Every assumption with its words and unit, in order."""
        return tuple(
            Line(
                one.name,
                one.metadata["says"],
                getattr(self, one.name),
                one.metadata["unit"],
                one.metadata.get("without", ""),
            )
            for one in fields(self)
        )


def _check(name: str, value: Any, about: Any) -> None:
    if value is None and about.get("may_be_none"):
        return
    low, high, unit = about["low"], about["high"], about["unit"]
    number = isinstance(value, (int, float)) and not isinstance(value, bool)
    whole = not about.get("whole") or (number and value == value and float(value).is_integer())
    if not number or not value >= low or (high is not None and value > high) or not whole:
        kind = "a whole number " if about.get("whole") else ""
        limits = f"from {low} to {high}" if high is not None else f"{low} or more"
        raise WrongAssumption(name, f"is {kind}{limits} ({unit}), not {value!r}.")


# What holds in every simulation and is not a number; for the page beside the picture.
RULES = (
    "Once a year: grown animals are paired and bear young; then some die, some leave, all age.",
    "The same number of females is drawn to be paired under every policy.",
    "A litter has one pup and by chance more (Poisson), so that the average is as typed.",
    "Which young stay and who dies or leaves is chance; nobody is chosen for rare genes.",
    "Animals of unknown sex are given one by chance; those of unknown age count as grown.",
    "Unknown parents count as unrelated founders, so kinship is a lower bound.",
    "Inbreeding does not change survival or litter size here.",
)


@dataclass(frozen=True)
class Policy:
    """A way of running the program: how pairs are chosen, and who is brought in when."""

    key: str
    says: str
    pairs: Literal["random", "lowest", "plan"]
    new_pairs: tuple[tuple[int, int], ...] = ()  # (year from 1 on, unrelated pairs brought in)

    def brought_in(self, year: int) -> int:
        """How many new founder pairs arrive at the start of this year."""
        return sum(number for when, number in self.new_pairs if when == year)


AS_NOW = Policy("as_now", "As now: any grown male with any grown female", "random")
BY_THE_PLAN = Policy("by_the_plan", "By the plan: the best allocation every year", "plan")
NEW_PAIR = Policy("new_pair", "As now, and one new founder pair in year two", "random", ((2, 1),))
POLICIES = (AS_NOW, BY_THE_PLAN, NEW_PAIR)
