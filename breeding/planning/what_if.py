"""What a litter, a sale, a loan or a death would change; tried on paper, no record is touched."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.pairings.queries import HERE
from breeding.program.fields import read_whole
from breeding.words.days import long_day
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import joined
from pedigree import (
    Pedigree,
    founder_equivalents,
    founder_genomes,
    founder_shares,
    mean_kinship,
)

MOST_YOUNG = 30
MOST_TRIALS = 30
KINDS = {
    "sale": message("is sold"),
    "loan": message("goes on loan"),
    "death": message("dies"),
}
SAID_OF_ONE = {
    "sale": message("{animal} is sold"),
    "loan": message("{animal} goes on loan"),
    "death": message("{animal} dies"),
}


@dataclass(frozen=True)
class Litter:
    """Young of two of the living."""

    female: Animal
    male: Animal
    young: int

    @property
    def words(self) -> str:
        return tell_many(
            "{dam} has {number} pup by {sire}",
            "{dam} has {number} pups by {sire}",
            self.young,
            dam=self.female.name,
            sire=self.male.name,
        )

    @property
    def animals(self) -> tuple[Animal, ...]:
        return self.female, self.male

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
        return tell(SAID_OF_ONE[self.kind], animal=self.animal.name)

    @property
    def animals(self) -> tuple[Animal, ...]:
        return (self.animal,)

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


def named_in(keys: Sequence[str]) -> set[int]:
    """Numbers of the animals that these changes name, on record or not.

    >>> sorted(named_in(["litter-12-34-4", "sale-7", "murder"]))
    [7, 12, 34]
    """
    parts = [key.split("-")[1:3] for key in keys[:MOST_TRIALS]]
    return {pk for some in parts for one in some if (pk := read_whole(one)) is not None}


def read_trials(
    keys: Sequence[str], animals: Mapping[int, Animal]
) -> tuple[list[Trial], list[str]]:
    """Changes that can happen one after the other, and why each of the rest cannot, in words.

    A change that cannot be is left out; lines are counted from 1 over those that stay. `animals`:
    everybody that the keys name, living or not, by its number.
    """
    found: list[Trial] = []
    wrong = []
    for key in keys[:MOST_TRIALS]:
        trial, against = _read(key, animals)
        if trial is not None:
            against = _against(trial, found)
        if trial is None or against:
            said = key if trial is None else trial.words
            wrong.append(tell("“{change}” cannot be tried: {reason}.", change=said, reason=against))
        else:
            found.append(trial)
    if len(keys) > MOST_TRIALS:
        wrong.append(
            tell(
                "{number} changes at once are too many; at most {most}.",
                number=len(keys),
                most=MOST_TRIALS,
            )
        )
    return found, wrong


def _read(key: str, animals: Mapping[int, Animal]) -> tuple[Trial | None, str]:
    """The change a key stands for; else None and why it cannot be."""
    kind, *numbers = key.split("-")
    read = [read_whole(number) for number in numbers]
    named = [animals[pk] for pk in read[:2] if pk is not None and pk in animals]
    if kind in KINDS and len(numbers) == len(named) == 1:
        return Departure(kind, named[0]), ""
    if kind == "litter" and len(numbers) == 3 and len(named) == 2:
        female, male = named
        if (female.sex, male.sex) != (Animal.Sex.FEMALE, Animal.Sex.MALE):
            return None, tell(
                "{female} and {male} are not a female and a male",
                female=female.name,
                male=male.name,
            )
        young = read[2] or 0
        if not 1 <= young <= MOST_YOUNG:
            return None, tell(
                "a litter has 1 to {most} pups here, not “{number}”",
                most=MOST_YOUNG,
                number=numbers[2][:20],
            )
        return Litter(female, male, young), ""
    return None, tell("nothing on record has that name, or there is no such change")


def _against(trial: Trial, before: Sequence[Trial]) -> str:
    """What the records and the lines before it say against a change; empty for nothing."""
    is_loan = isinstance(trial, Departure) and trial.kind == "loan"
    for animal in trial.animals:
        if animal.state not in HERE:
            return _gone_words(animal)
        if is_loan and animal.state == Animal.State.ON_LOAN:
            return tell("by the records {animal} is on loan already", animal=animal.name)
        for line, earlier in enumerate(before, 1):
            if not isinstance(earlier, Departure) or earlier.animal != animal:
                continue
            if earlier.kind != "loan" or is_loan:
                return tell(
                    "in line {line} of the list {earlier}", line=line, earlier=earlier.words
                )
    return ""


def _gone_words(animal: Animal) -> str:
    if animal.state_on:
        return tell(
            "by the records {animal} {state} on {day}",
            animal=animal.name,
            state=animal.get_state_display(),
            day=long_day(animal.state_on),
        )
    return tell(
        "by the records {animal} {state}", animal=animal.name, state=animal.get_state_display()
    )


def gone_in(trials: Sequence[Trial]) -> set[int]:
    """Numbers of the animals that are not there any more after all of it."""
    return {one.animal.pk for one in trials if isinstance(one, Departure) and one.kind != "loan"}


def try_out(trials: Sequence[Trial], known: Lineage, living: Sequence[int]) -> WhatIf:
    """The figures before and after all of it, in the order given.

    A sale or a death takes the animal out of the living; one on loan still belongs to the program
    and counts. Cost: the ancestors of the living, twice.
    """
    ped = known.pedigree
    gone = gone_in(trials)
    here = [pk for pk in living if pk not in gone]
    rows, born, inbreeding = [], [], {}
    for number, trial in enumerate(trials):
        if isinstance(trial, Litter):
            young = [("paper", number, pup) for pup in range(trial.young)]
            rows += [(one, trial.male.pk, trial.female.pk) for one in young]
            born += young
            inbreeding[trial.key] = ped.kinship(trial.male.pk, trial.female.pk)
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
        return tell("No animal would be left.")
    change = found.after.gene_diversity - found.before.gene_diversity
    said = [
        tell("Gene diversity rises.")
        if change > 5e-6
        else tell("Gene diversity falls.")
        if change < -5e-6
        else tell("Gene diversity stays as it is.")
    ]
    if found.lost_founders:
        gone = [names.get(pk, tell("animal {number}", number=pk)) for pk in found.lost_founders]
        said.append(tell("Nothing would be left of {animals}.", animals=joined(gone)))
    return " ".join(said)
