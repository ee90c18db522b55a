"""Young to be expected of a plan and the tanks they need, by what the program's own have shown."""

from collections.abc import Sequence
from dataclasses import dataclass

from breeding.animals.growth.fit import Measured
from breeding.animals.growth.own import OwnGrowth
from breeding.animals.growth.reading import YEAR, MeasuredProgram, measured_program
from breeding.planning.ahead.own_figures import OwnFigure, basis_words
from breeding.planning.next_year.months import Month, expected_litter, months_of
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.row import PlannedRow


@dataclass(frozen=True)
class Expectations:
    """Months with young of the plan; what the size of a litter rests on; the most tanks at once."""

    months: tuple[Month, ...]
    young: float
    per_litter: float
    basis: str
    most_tanks: int


def expectations_of(rows: Sequence[PlannedRow], per_litter: OwnFigure) -> Expectations:
    """Two queries."""
    measured = measured_program() if rows else None
    litters = [
        expected_litter(
            row.not_before,
            gestation_days=gestation_days(row.female),
            young=per_litter.value,
            leave_days=leave_days(row.female, measured),
        )
        for row in rows
        if measured is not None
    ]
    months = months_of(litters)
    return Expectations(
        tuple(months),
        per_litter.value * len(litters),
        per_litter.value,
        basis_words(per_litter.basis),
        max((month.tanks for month in months), default=0),
    )


def gestation_days(dam: Candidate) -> float:
    """By what the program's own births have taught, where there is a season of hers."""
    usual = dam.figures.gestation_shortest_days + dam.figures.gestation_longest_days
    return dam.season.profile.gestation_mean_days if dam.season else usual / 2


def leave_days(dam: Candidate, measured: MeasuredProgram) -> float:
    """How old her young are when they may leave: old enough, and as wide as they have to be by
    how the program's own have grown."""
    figures = dam.figures
    least = figures.figure("leave_least_days")
    taught = measured.taught(dam.animal)
    if taught.program is None:
        return least
    age = OwnGrowth(Measured.of(()), taught.program).reaches(figures.figure("leave_least_mm"))
    return max(least, (age.middle or 0.0) * YEAR)
