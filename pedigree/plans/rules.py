"""What a plan of pairings has to keep to: read once and checked."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from pedigree.errors import LineageError
from pedigree.plans.wished import Wanted
from pedigree.rows import Floats, Ints

Bools = npt.NDArray[np.bool_]

SLACK = 1e-12  # F from the column engine is right to about this; a limit is met within it
KINDS = ("litters", "per_male", "most", "wanted", "forbidden", "per_female", "required")


@dataclass(frozen=True)
class Rules:
    """The rules as given. `room` is how many litters each row or column may have at most."""

    inbreeding: Floats  # (females, males)
    cost: Floats  # (females, males), what is made small
    female_room: Ints  # (females,), at most the number of males
    male_room: Ints  # (males,), at most the number of females
    forbidden: Bools  # (females, males)
    required: Bools  # (females, males)
    most: float | None
    litters: int | None
    given: frozenset[str]  # which of KINDS bind at all
    females: Sequence[Any]  # names for messages
    males: Sequence[Any]
    wanted: tuple[Wanted, ...] = ()

    def room(self, keep: frozenset[str]) -> tuple[Ints, Ints]:
        """Room of rows and columns when only the rules in `keep` hold."""
        rows, columns = self.inbreeding.shape
        return (
            self.female_room if "per_female" in keep else np.full(rows, columns),
            self.male_room if "per_male" in keep else np.full(columns, rows),
        )

    def allowed(self, keep: frozenset[str]) -> Bools:
        """Which pairs may be when only the rules in `keep` hold."""
        allowed = np.ones(self.inbreeding.shape, np.bool_)
        if "forbidden" in keep:
            allowed &= ~self.forbidden
        if "most" in keep and self.most is not None:
            allowed &= self.inbreeding <= self.most + SLACK
        return allowed

    def needed(self, keep: frozenset[str]) -> Bools:
        """Which pairs must be when only the rules in `keep` hold."""
        return self.required if "required" in keep else np.zeros_like(self.required)

    def needs(self, keep: frozenset[str]) -> list[tuple[Bools, int]]:
        """Of which pairs so many are still wanted when the needed ones are set."""
        if "wanted" not in keep:
            return []
        needed = self.needed(keep)
        return [
            (one.pairs, max(0, one.number - int((one.pairs & needed).sum()))) for one in self.wanted
        ]

    def pair(self, row: int, column: int) -> tuple[Any, Any]:
        """Who they are: the female's name and the male's."""
        return self.females[row], self.males[column]


def read_rules(
    inbreeding: Any,
    *,
    per_female: Any,
    per_male: Any,
    forbidden: Any,
    most: float | None,
    litters: int | None,
    required: Any,
    cost: Any,
    females: Sequence[Any] | None,
    males: Sequence[Any] | None,
    wanted: Sequence[Any] = (),
) -> Rules:
    """Check every value; each error names the value and what is allowed."""
    table = _table(inbreeding, "inbreeding")
    low, high = table.min(initial=0), table.max(initial=0)
    if low < -SLACK or high > 1 + SLACK:
        worst = low if low < -SLACK else high
        row, column = np.argwhere(table == worst)[0].tolist()
        raise LineageError(
            f"F is from 0 to 1, not {worst:g} (inbreeding, row {row}, column {column})."
        )
    rows, columns = table.shape
    prices = table if cost is None else _table(cost, "cost", table.shape)
    must = _pairs(required, "required", table.shape)
    must_not = _pairs(forbidden, "forbidden", table.shape)
    limit = None if most is None else _share(most, "most")
    number = None if litters is None else _whole(litters, "litters")
    given = {
        "per_female": per_female is not None,
        "per_male": per_male is not None,
        "forbidden": bool(must_not.any()),
        "required": bool(must.any()),
        "most": limit is not None,
        "litters": number is not None,
        "wanted": bool(wanted),
    }
    return Rules(
        table,
        prices,
        _room(per_female, "per_female", rows, columns),
        _room(per_male, "per_male", columns, rows),
        must_not,
        must,
        limit,
        number,
        frozenset(kind for kind, binds in given.items() if binds),
        _names(females, "females", "female", rows),
        _names(males, "males", "male", columns),
        tuple(_wanted(one, place, table.shape) for place, one in enumerate(wanted)),
    )


def _wanted(given: Any, place: int, shape: tuple[int, ...]) -> Wanted:
    """Pairs of which some must be, as a boolean table, with how many."""
    name = f"wanted[{place}]"
    if isinstance(given, Wanted):
        given = given.pairs, given.number, given.name
    if not isinstance(given, tuple) or len(given) not in (2, 3):
        raise LineageError(f"{name} is a table of pairs and how many of them, not {given!r:.80}.")
    number = _whole(given[1], f"{name}[1]")
    return Wanted(_pairs(given[0], f"{name}[0]", shape), number, *given[2:])


def _table(values: Any, name: str, shape: tuple[int, ...] | None = None) -> Floats:
    try:
        table = np.array(values, np.float64)
    except (TypeError, ValueError):
        raise LineageError(f"{name} is a table of numbers, not {values!r:.80}.") from None
    if table.ndim != 2 or (shape is not None and table.shape != shape):
        wanted = "(females, males)" if shape is None else str(shape)
        raise LineageError(f"{name} has the shape {wanted}, not {table.shape}.")
    bad = ~np.isfinite(table)
    if bad.any():
        row, column = np.argwhere(bad)[0].tolist()
        raise LineageError(
            f"{name} holds finite numbers, not {table[row, column]} (row {row}, column {column})."
        )
    return table


def _pairs(values: Any, name: str, shape: tuple[int, ...]) -> Bools:
    """A boolean table, or pairs of row and column."""
    if values is None:
        return np.zeros(shape, np.bool_)
    if isinstance(values, np.ndarray) and values.ndim == 2 and values.dtype != np.int64:
        table = values
    elif isinstance(values, (list, tuple)) and all(
        isinstance(pair, tuple) and len(pair) == 2 for pair in values
    ):
        table = np.zeros(shape, np.bool_)
        for row, column in values:
            if not (0 <= row < shape[0] and 0 <= column < shape[1]):
                raise LineageError(
                    f"{name} names row {row} and column {column} of a table of "
                    f"{shape[0]} rows and {shape[1]} columns, counted from 0."
                )
            table[row, column] = True
        return table
    else:
        table = np.array(values)
    if table.shape != shape:
        raise LineageError(f"{name} has the shape {shape}, not {table.shape}.")
    wrong = ~np.isin(table, (0, 1))
    if wrong.any():
        raise LineageError(f"{name} holds True and False, not {table[wrong][0]!r}.")
    return table.astype(np.bool_)


def _share(value: Any, name: str) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float, np.number)):
        raise LineageError(f"{name} is a number from 0 to 1, not {value!r}.")
    if not 0 <= value <= 1:  # also refuses nan
        raise LineageError(f"{name} is from 0 to 1, not {value}.")
    return float(value)


def _whole(value: Any, name: str) -> int:
    number = isinstance(value, (int, float, np.number)) and not isinstance(value, bool)
    if not number or value != value or value < 0 or value != int(min(value, 2**62)):
        raise LineageError(f"{name} is a whole number, 0 or more, not {value!r}.")
    return int(value)


def _room(value: Any, name: str, size: int, other: int) -> Ints:
    if value is None:
        return np.full(size, other)
    if np.ndim(value) == 0:
        return np.full(size, min(_whole(value, name), other))
    if np.shape(value) != (size,):
        raise LineageError(
            f"{name} is one number or one for each of {size}, not of the shape {np.shape(value)}."
        )
    each = [min(_whole(one, f"{name}[{place}]"), other) for place, one in enumerate(value)]
    return np.array(each, np.int64)


def _names(given: Sequence[Any] | None, argument: str, noun: str, size: int) -> Sequence[Any]:
    if given is None:
        return [f"{noun} {number}" for number in range(size)]
    if len(given) != size:
        raise LineageError(f"{argument} has {len(given)} names for {size} animals.")
    return given
