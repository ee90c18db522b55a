"""The state of the program in figures, each with what it rests on; writes nothing."""

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from breeding.animals.lineage import Lineage
from breeding.planning.state.members import Member
from breeding.words.language import tell, tell_many
from breeding.words.numbers import figure
from pedigree import (
    LineageError,
    Pedigree,
    effective_ancestors,
    founder_equivalents,
    founder_genomes,
    founder_shares,
    founders_left,
    gene_diversity,
    mean_kinship,
)
from pedigree.figures.effective_size import (
    by_individual_increase,
    by_rate_of_inbreeding,
    by_sex_counts,
    expected_sires,
)
from pedigree.figures.founders import FoundersLeft
from pedigree.figures.generation_interval import GenerationInterval, generation_interval

DROPS, SEED = 4_000, 1989  # for families too large for exact retention
AGE_CLASSES = ((0, 1), (1, 2), (2, 3), (3, 4), (4, 6), (6, 9), (9, 200))
EXACT_BIRTHS = ("day", "month")
RECENT_YEARS = 3


@dataclass(frozen=True)
class AgeClass:
    """How many are between two ages, by sex."""

    label: str
    females: int
    males: int
    unknown: int


@dataclass(frozen=True)
class Ranked:
    """A living animal by how rare its genes are."""

    member: Member
    mean_kinship: float


@dataclass(frozen=True)
class FounderRow:
    """What of a founder is in the living; pk None stands for all unknown parents together."""

    pk: int | None
    name: str
    share: float
    retained: float | None


@dataclass(frozen=True)
class Size:
    """An effective size by one method, or why there is none."""

    method: str
    value: float | None
    assumes: str


@dataclass(frozen=True)
class BirthYear:
    """F of those born in a year."""

    year: int
    values: tuple[float, ...]

    @property
    def mean(self) -> float:
        return sum(self.values) / len(self.values)


@dataclass(frozen=True)
class YearEnd:
    """The program on the last day of a year, or today."""

    on: datetime.date
    living: int
    gene_diversity: float
    mean_inbreeding: float


@dataclass(frozen=True)
class ProgramState:
    """Everything the page shows of one part of the program."""

    living: tuple[Member, ...]
    ages: tuple[AgeClass, ...]
    age_unknown: int
    gene_diversity: float
    mean_inbreeding: float
    most_inbred: Ranked | None  # `mean_kinship` holds its F
    ranking: tuple[Ranked, ...]
    founders: tuple[FounderRow, ...]
    founder_equivalents: float
    effective_ancestors: float
    genomes_by_kinship: float
    genomes_by_retention: float
    sizes: tuple[Size, ...]
    interval: GenerationInterval
    birth_years: tuple[BirthYear, ...]
    history: tuple[YearEnd, ...]
    left_unknown: tuple[Member, ...]  # gone on a day nobody knows: not in the history
    left_by_the_records: tuple[Member, ...]  # gone by the day that was written down
    known_generations: float
    founders_living: int

    @property
    def females(self) -> int:
        return sum(1 for one in self.living if one.sex == "F")

    @property
    def males(self) -> int:
        return sum(1 for one in self.living if one.sex == "M")

    @property
    def sexes_words(self) -> str:
        """ "3 females and 2 males of 6 living animals"."""
        return tell_many(
            "{females} and {males} of {number} living animal",
            "{females} and {males} of {number} living animals",
            len(self.living),
            females=tell_many("{number} female", "{number} females", self.females),
            males=tell_many("{number} male", "{number} males", self.males),
        )


def state_of(members: Sequence[Member], known: Lineage, *, today: datetime.date) -> ProgramState:
    """The state of these members. Raises LineageError when none of them is living.

    Cost: linear in their ancestors for each year of history; the kinship of the living once.
    """
    ped = known.pedigree
    living = tuple(one for one in members if one.is_here)
    if not living:
        raise LineageError(tell("Nobody is living; at least one animal is needed."))
    pks = [one.pk for one in living]
    means = mean_kinship(ped, pks)
    inbred = max(living, key=lambda one: known.inbreeding[one.pk])
    worst = known.inbreeding[inbred.pk]
    ranking = sorted(zip(living, means.tolist(), strict=True), key=lambda pair: pair[1])
    ages, without_age = age_classes(living, today)
    left = founders_left(ped, pks, generator=np.random.default_rng(SEED), drops=DROPS)
    return ProgramState(
        living=living,
        ages=ages,
        age_unknown=without_age,
        gene_diversity=1 - float(means.mean()),
        mean_inbreeding=_mean([known.inbreeding[pk] for pk in pks]),
        most_inbred=Ranked(inbred, worst) if worst else None,
        ranking=tuple(Ranked(member, mean) for member, mean in ranking),
        founders=_founders(ped, pks, members, left),
        founder_equivalents=founder_equivalents(ped, pks),
        effective_ancestors=effective_ancestors(ped, pks),
        genomes_by_kinship=founder_genomes(ped, pks),
        genomes_by_retention=left.genomes,
        sizes=_sizes(ped, living, members, known, today),
        interval=_interval(ped, members),
        birth_years=birth_years(members, known),
        history=history(members, known, today),
        left_unknown=tuple(one for one in members if one.is_gone_since_nobody_knows),
        left_by_the_records=tuple(one for one in members if one.until_is_recorded),
        known_generations=_mean([known.equivalent_generations[pk] for pk in pks]),
        founders_living=sum(1 for pk in pks if not ped.sires(pk) and ped.dam(pk) is None),
    )


def age_classes(living: Sequence[Member], today: datetime.date) -> tuple[tuple[AgeClass, ...], int]:
    """Youngest first, each by sex; and how many have no birth date."""
    counts = [{"F": 0, "M": 0, "U": 0} for _ in AGE_CLASSES]
    without = 0
    for one in living:
        age = one.age_years(today)
        if age is None:
            without += 1
            continue
        place = next(k for k, (_, end) in enumerate(AGE_CLASSES) if age < end)
        counts[place][one.sex] += 1
    found = []
    for (begin, end), count in zip(AGE_CLASSES, counts, strict=True):
        found.append(AgeClass(_age_words(begin, end), count["F"], count["M"], count["U"]))
    return tuple(found), without


def _age_words(begin: int, end: int) -> str:
    if end == AGE_CLASSES[-1][1]:
        return tell("{years} and over", years=begin)
    return f"{begin}" if end == begin + 1 else tell("{first} to {last}", first=begin, last=end - 1)


def _founders(
    ped: Pedigree, pks: list[int], members: Sequence[Member], left: FoundersLeft
) -> tuple[FounderRow, ...]:
    names = {one.pk: one.name for one in members}
    shares = founder_shares(ped, pks)
    rows = [
        FounderRow(
            pk,
            tell("unknown parents, together")
            if pk is None
            else names.get(pk, tell("animal {number}", number=pk)),
            share,
            float(left.parts[pk]) if pk in left.parts else None,
        )
        for pk, share in shares.items()
    ]
    return tuple(sorted(rows, key=lambda row: (row.pk is None, -row.share)))


def _sizes(
    ped: Pedigree,
    living: Sequence[Member],
    members: Sequence[Member],
    known: Lineage,
    today: datetime.date,
) -> tuple[Size, ...]:
    recent = today - datetime.timedelta(days=round(RECENT_YEARS * 365.25))
    young = [one.pk for one in members if one.born_on is not None and one.born_on > recent]
    sires = {sire for pk in young for sire in ped.sires(pk)}
    likely = expected_sires(ped, young)
    dams = {ped.dam(pk) for pk in young} - {None}
    sexes = None
    if likely and dams:
        sexes = by_sex_counts(float(likely), len(dams))
    parents = {parent for one in living for parent in (*ped.sires(one.pk), ped.dam(one.pk))}
    before = [known.inbreeding[pk] for pk in parents - {None}]
    bred = [known.inbreeding[one.pk] for one in living if ped.dam(one.pk) is not None]
    rate = None
    if before and bred and _mean(before) < 1:
        rate = by_rate_of_inbreeding(_mean(before), _mean(bred))
    try:
        single: float | None = by_individual_increase(ped, [one.pk for one in living])
    except LineageError:
        single = None
    return (
        Size(
            tell("by the number of breeders"),
            sexes,
            tell(
                "{sires} and {dams} had young in the last {years} years; assumes each leaves young "
                "by chance alone",
                sires=_sires_words(likely, len(sires)),
                dams=tell_many("{number} dam", "{number} dams", len(dams)),
                years=RECENT_YEARS,
            ),
        ),
        Size(
            tell("by the rise of inbreeding"),
            rate,
            tell(
                "mean F of {bred} against that of their {parents}; one generation, so it swings "
                "much in a small program",
                bred=tell_many(
                    "{number} living bred animal", "{number} living bred animals", len(bred)
                ),
                parents=tell_many("{number} parent", "{number} parents", len(before)),
            ),
        ),
        Size(
            tell("by each animal's own inbreeding"),
            single,
            tell(
                "F of each living animal for the depth of its known ancestry; needs more than one "
                "generation of known ancestors"
            ),
        ),
    )


def _sires_words(likely: Fraction, possible: int) -> str:
    """ "3 sires"; where fewer are expected than are possible: "about 1.7 of 3 possible sires"."""
    if likely == possible:
        return tell_many("{number} sire", "{number} sires", possible)
    return tell_many(
        "about {likely} of {number} possible sire",
        "about {likely} of {number} possible sires",
        possible,
        likely=figure(likely, 1),
    )


def _interval(ped: Pedigree, members: Sequence[Member]) -> GenerationInterval:
    exact = [one for one in members if one.born_on and one.born_precision in EXACT_BIRTHS]
    born = {one.pk: one.born_on.toordinal() / 365.25 for one in exact if one.born_on}
    return generation_interval(ped, born, {one.pk: one.sex for one in members})


def birth_years(members: Sequence[Member], known: Lineage) -> tuple[BirthYear, ...]:
    """F of everybody with a recorded dam or sire, by the year of birth."""
    found: dict[int, list[float]] = {}
    ped = known.pedigree
    for one in members:
        if one.born_on is not None and (ped.sires(one.pk) or ped.dam(one.pk) is not None):
            found.setdefault(one.born_on.year, []).append(known.inbreeding[one.pk])
    return tuple(BirthYear(year, tuple(sorted(found[year]))) for year in sorted(found))


def history(members: Sequence[Member], known: Lineage, today: datetime.date) -> tuple[YearEnd, ...]:
    """At the end of every year in which at least two were living, and today.

    Those gone on a day nobody knows are left out of every year.
    """
    starts = [
        one.since for one in members if one.since is not None and not one.is_gone_since_nobody_knows
    ]
    if not starts:
        return ()
    days = [datetime.date(year, 12, 31) for year in range(min(starts).year, today.year)]
    found = []
    for on in [*days, today]:
        pks = [one.pk for one in members if one.was_living(on)]
        if len(pks) > 1:
            mean = _mean([known.inbreeding[pk] for pk in pks])
            found.append(YearEnd(on, len(pks), gene_diversity(known.pedigree, pks), mean))
    return tuple(found)


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values) if values else 0.0
