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
    leaves = LeaveDays(measured)
    litters = [
        expected_litter(
            row.not_before,
            gestation_days=gestation_days(row.female),
            young=per_litter.mean,
            leave_days=leaves.of(row.female.animal, row.female.figures),
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


class LeaveDays:
    """How old young are when they may leave: old enough, and as wide as they have to be by how the
    program's own have grown. What has grown alike is reckoned once."""

    def __init__(self, measured: MeasuredProgram) -> None:
        self._measured = measured
        self._found: dict[tuple[int, float], float] = {}

    def of(self, animal: Animal, figures: Figures) -> float:
        """Of young like this animal, or of its young, in days."""
        least, width = figures.figure("leave_least_days"), figures.figure("leave_least_mm")
        program = self._measured.taught(animal).program
        if program is None:
            return least
        key = id(program), width  # held by what was measured, as long as this is
        if key not in self._found:
            age = OwnGrowth(Measured.of(()), program).reaches(width)
            self._found[key] = (age.middle or 0.0) * YEAR
        return max(least, self._found[key])
