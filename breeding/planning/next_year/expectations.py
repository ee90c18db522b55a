"""Young to be expected of a plan and the tanks they need, by what the program's own have shown."""

from collections.abc import Sequence
from dataclasses import dataclass

from breeding.animals.growth.fit import Measured
from breeding.animals.growth.own import OwnGrowth
from breeding.animals.growth.reading import YEAR, MeasuredProgram
from breeding.animals.models import Animal
from breeding.animals.species.profiles import Figures
from breeding.litters.size import LitterSize
from breeding.planning.next_year.months import Expected, Month, expected_litter, months_of
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.row import PlannedRow


@dataclass(frozen=True)
class Expectations:
    """Months with young of the plan; how large a litter is; the most tanks at once.

    young: of the plan alone. others: how many litters beside it the months hold."""

    months: tuple[Month, ...]
    young: float
    litter: str
    most_tanks: int
    others: int = 0


def expectations_of(
    rows: Sequence[PlannedRow],
    per_litter: LitterSize,
    measured: MeasuredProgram,
    others: Sequence[Expected] = (),
) -> Expectations:
    """others: litters that are under way or planned already; the months hold them as well."""
    litters = [
        expected_litter(
            row.not_before,
            gestation_days=gestation_days(row.female),
            young=per_litter.mean,
            leave_days=leave_days(row.female.animal, row.female.figures, measured),
        )
        for row in rows
    ]
    months = months_of([*others, *litters])
    return Expectations(
        tuple(months),
        per_litter.mean * len(litters),
        per_litter.words,
        max((month.tanks for month in months), default=0),
        len(others),
    )


def gestation_days(dam: Candidate) -> float:
    """By what the program's own births have taught, where there is a season of hers."""
    usual = dam.figures.gestation_shortest_days + dam.figures.gestation_longest_days
    return dam.season.profile.gestation_mean_days if dam.season else usual / 2


def leave_days(animal: Animal, figures: Figures, measured: MeasuredProgram) -> float:
    """How old young like it, or of it, are when they may leave: old enough, and as wide as they
    have to be by how the program's own have grown."""
    least = figures.figure("leave_least_days")
    taught = measured.taught(animal)
    if taught.program is None:
        return least
    age = OwnGrowth(Measured.of(()), taught.program).reaches(figures.figure("leave_least_mm"))
    return max(least, (age.middle or 0.0) * YEAR)
