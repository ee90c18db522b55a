"""What a litter, a sale, a loan or a death would change; tried on paper, no record is touched."""

from collections.abc import Sequence
from dataclasses import dataclass

from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.program.fields import read_whole
from breeding.program.formats import counted, joined
from pedigree import (
    Pedigree,
    founder_equivalents,
    founder_genomes,
    founder_shares,
    mean_kinship,
)

MOST_YOUNG = 30
MOST_TRIALS = 30
KINDS = {"sale": "is sold", "loan": "goes on loan", "death": "dies"}


@dataclass(frozen=True)
class Litter:
    """Young of two of the living."""

    female: Animal
    male: Animal
    young: int

    @property
    def words(self) -> str:
        return f"{self.female.name} has {counted(self.young, 'pup')} by {self.male.name}"

    @property
    def key(self) -> str:
        return f"litter-{self.female.pk}-{self.male.pk}-{self.young}"


@dataclass(frozen=True)
class Departure:
    """One of the living goes: sold, on loan, or dead."""

    kind: str
    animal: Animal

    @property
    def words(self) -> str:
        return f"{self.animal.name} {KINDS[self.kind]}"

    @property
    def key(self) -> str:
        return f"{self.kind}-{self.animal.pk}"


Trial = Litter | Departure


@dataclass(frozen=True)
class Figures:
    """The figures of some living animals."""

    living: int
    gene_diversity: float
    mean_inbreeding: float
    founder_genomes: float
    founder_equivalents: float
    founders: frozenset[int]  # known ones with a share


@dataclass(frozen=True)
class WhatIf:
    """The program as it is, and as it would be."""

    before: Figures
    after: Figures | None  # None: nobody would be left
    lost_founders: tuple[int, ...]  # keys of founders of whom nothing would be left
    inbreeding_of_young: dict[str, float]  # by the litter's key


def read_trials(keys: Sequence[str], living: dict[int, Animal]) -> tuple[list[Trial], list[str]]:
    """Trials from their keys, and what of them cannot be, in words."""
    found: list[Trial] = []
    wrong = []
    for key in keys[:MOST_TRIALS]:
        kind, *numbers = key.split("-")
        read = [read_whole(number) for number in numbers]
        known = [living.get(pk) for pk in read[:2] if pk is not None]
        if kind == "litter" and len(numbers) == 3 and len(known) == 2 and all(known):
            female, male = known
            young = read[2] or 0
            if (
                female is not None
                and male is not None
                and (female.sex, male.sex) == ("F", "M")
                and 1 <= young <= MOST_YOUNG
            ):
                found.append(Litter(female, male, young))
                continue
        elif kind in KINDS and len(numbers) == 1 and known and known[0] is not None:
            found.append(Departure(kind, known[0]))
            continue
        wrong.append(f"“{key}” cannot be tried: it names nobody living here, or no such change.")
    if len(keys) > MOST_TRIALS:
        wrong.append(f"{len(keys)} changes at once are too many; at most {MOST_TRIALS}.")
    return found, wrong


def try_out(trials: Sequence[Trial], known: Lineage, living: Sequence[int]) -> WhatIf:
    """The figures before and after all of it, in the order given.

    A sale or a death takes the animal out of the living; one on loan still belongs to the program
    and counts. Cost: the ancestors of the living, twice.
    """
    ped = known.pedigree
    here = list(living)
    rows, born, inbreeding = [], [], {}
    for number, trial in enumerate(trials):
        if isinstance(trial, Litter):
            young = [("paper", number, pup) for pup in range(trial.young)]
            rows += [(one, trial.male.pk, trial.female.pk) for one in young]
            born += young
            inbreeding[trial.key] = ped.kinship(trial.male.pk, trial.female.pk)
        elif trial.kind != "loan" and trial.animal.pk in here:
            here.remove(trial.animal.pk)
    with_young = ped.with_rows(rows) if rows else ped
    after = [*here, *born]
    before = figures_of(ped, list(living))
    then = figures_of(with_young, after) if after else None
    lost = before.founders - (then.founders if then else frozenset())
    return WhatIf(before, then, tuple(sorted(lost)), inbreeding)


def figures_of(ped: Pedigree, living: Sequence[object]) -> Figures:
    """The figures of these animals, at least one. Cost: linear in their ancestors."""
    shares = founder_shares(ped, living)
    means = mean_kinship(ped, living)
    inbreeding = dict(zip(ped.ids, ped.inbreeding().tolist(), strict=True))
    return Figures(
        living=len(living),
        gene_diversity=1 - float(means.mean()),
        mean_inbreeding=sum(inbreeding[one] for one in living) / len(living),
        founder_genomes=founder_genomes(ped, living),
        founder_equivalents=founder_equivalents(ped, living),
        founders=frozenset(pk for pk, share in shares.items() if pk is not None and share),
    )


def in_words(found: WhatIf, names: dict[int, str]) -> str:
    """The change in one sentence or two."""
    if found.after is None:
        return "Nobody would be left."
    change = found.after.gene_diversity - found.before.gene_diversity
    way = "rises" if change > 5e-6 else "falls" if change < -5e-6 else "stays as it is"
    said = f"Gene diversity {way}."
    if found.lost_founders:
        gone = joined([names.get(pk, f"animal {pk}") for pk in found.lost_founders])
        said += f" Nothing would be left of {gone}."
    return said
