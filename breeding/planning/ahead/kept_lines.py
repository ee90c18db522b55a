"""Keeping a strain against keeping diversity: simulated from the program's own living animals."""

import datetime
from dataclasses import dataclass

import numpy as np
from django.utils.safestring import SafeString, mark_safe

from breeding.animals import lineage
from breeding.animals.models import Animal, Strain
from breeding.litters.size import usual_litter
from breeding.planning.state.members import Member, members
from breeding.program.plots import Series, over_years
from breeding.program.unchanged.values import kept_while_unchanged
from breeding.words.language import tell
from breeding.words.numbers import percent
from pedigree.ahead.kept_line import LineCourse, keep_line

SEED, GENERATIONS, REPLICATES = 20, 6, 100
SURE = 1.96  # of the standard error: nineteen of twenty means lie within


@dataclass(frozen=True)
class Strains:
    """Those with a female and a male among the living, by name; and those that lack one."""

    kept: tuple[tuple[int, str], ...]
    lacking: tuple[str, ...]


@dataclass(frozen=True)
class Row:
    """One generation of young, kept within the line and with one outcross at the beginning."""

    generation: int
    within: float
    within_error: float
    crossed: float
    crossed_error: float
    within_diversity: float
    crossed_diversity: float
    shows: float  # with the outcross; within the line all do


@dataclass(frozen=True)
class KeptLine:
    """Both courses side by side. again: in which generation the trait shows again."""

    rows: tuple[Row, ...]
    females: int
    males: int
    litter: int
    again: float
    again_error: float
    picture: SafeString

    @property
    def a_generation(self) -> float:
        """What a generation within the line costs, on average."""
        first, last = self.rows[0].within, self.rows[-1].within
        return (last - first) / (len(self.rows) - 1)

    @property
    def when_again(self) -> Row:
        """The generation in which the trait shows again."""
        return self.rows[min(max(round(self.again), 1), len(self.rows)) - 1]

    @property
    def given_back(self) -> float:
        """How much lower F is in the last generation after one outcross."""
        return self.rows[-1].within - self.rows[-1].crossed


def strains_here() -> Strains:
    """Two queries and those of `members`."""
    names = dict(Strain.objects.values_list("pk", "name"))
    sexes: dict[int, set[str]] = {}
    for one in _living():
        if one.strain is not None:
            sexes.setdefault(one.strain, set()).add(one.sex)
    both = {Animal.Sex.FEMALE, Animal.Sex.MALE}
    kept = sorted((pk for pk in sexes if both <= sexes[pk]), key=lambda pk: names[pk])
    lacking = sorted(names[pk] for pk in sexes if not both <= sexes[pk])
    return Strains(tuple((pk, names[pk]) for pk in kept), tuple(lacking))


def kept_line(strain: int, today: datetime.date) -> KeptLine:
    """Of a strain out of `strains_here`. Reckoned once, until something it rests on is written."""
    return kept_while_unchanged(("kept line", strain, today), lambda: _simulated(strain, today))


def _living() -> list[Member]:
    return [one for one in members() if one.is_here and one.sex in ("F", "M")]


def _simulated(strain: int, today: datetime.date) -> KeptLine:
    living = _living()
    known = lineage.current()
    line = [one for one in living if one.strain == strain]
    kinship = known.pedigree.kinship_matrix([one.pk for one in living])
    is_female = np.array([one.sex == "F" for one in living])
    in_line = np.array([one.strain == strain for one in living])
    litter = max(2, usual_litter(today).young)
    within, crossed = (
        keep_line(
            kinship,
            is_female,
            in_line,
            np.random.default_rng(SEED),
            has_outcross=has_outcross,
            generations=GENERATIONS,
            litter=litter,
            replicates=REPLICATES,
        )
        for has_outcross in (False, True)
    )
    return KeptLine(
        _rows(within, crossed),
        sum(one.sex == "F" for one in line),
        sum(one.sex == "M" for one in line),
        litter,
        crossed.again,
        crossed.again_error,
        mark_safe(_picture(within, crossed)),  # noqa: S308  (plots escapes every name)
    )


def _rows(within: LineCourse, crossed: LineCourse) -> tuple[Row, ...]:
    return tuple(
        Row(
            at + 1,
            within.inbreeding[at],
            SURE * within.inbreeding_error[at],
            crossed.inbreeding[at],
            SURE * crossed.inbreeding_error[at],
            within.diversity[at],
            crossed.diversity[at],
            crossed.shows[at],
        )
        for at in range(len(within.inbreeding))
    )


def _picture(within: LineCourse, crossed: LineCourse) -> str:
    both = (
        (tell("within the line"), within, "line-a"),
        (tell("with one outcross"), crossed, "line-b"),
    )
    return over_years(
        [
            Series(
                name,
                [(float(at + 1), value) for at, value in enumerate(course.inbreeding)],
                style,
                [
                    (float(at + 1), max(0.0, value - SURE * error), value + SURE * error)
                    for at, (value, error) in enumerate(
                        zip(course.inbreeding, course.inbreeding_error, strict=True)
                    )
                ],
                told=", ".join(percent(value) for value in course.inbreeding),
            )
            for name, course, style in both
        ],
        id="kept-line",
        title=tell("F of the young by generation"),
        unit="F",
        across=tell("generation"),
    )
