"""Two animals looked at together: what their young would be, and what stands against it."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.text import capfirst

from breeding.animals import lineage
from breeding.animals.models import Animal, Revision
from breeding.animals.parents.descent import Descent
from breeding.housing.queries import free_tanks
from breeding.litters.size import usual_litter
from breeding.pairings.queries import PairCheck, check_pair
from breeding.planning.crosses import mixed_said
from breeding.planning.queries import living_keys, waiting
from breeding.planning.season.fitness import too_wide, wider_words
from breeding.planning.season.readiness import Candidate, candidates
from breeding.program.models import Program
from breeding.program.unchanged.growing import kept_while_growing
from breeding.program.unchanged.marks import rests_on
from breeding.words.days import long_day
from breeding.words.descent.diversity import litter_words, measure_words
from breeding.words.language import tell
from breeding.words.numbers import joined
from pedigree import after_litter_among, mean_kinship


@dataclass(frozen=True)
class Diversity:
    """Gene diversity of the living before and after a litter of these two."""

    before: float
    after: float
    young: int
    sire_mean_kinship: float
    dam_mean_kinship: float
    program_mean_kinship: float

    @property
    def change(self) -> float:
        return self.after - self.before

    @property
    def words(self) -> str:
        """What a litter does to the program, in one sentence."""
        return litter_words(self.before, self.after, self.young)

    @property
    def measure(self) -> str:
        """What its points are worth."""
        return measure_words(self.before)


@dataclass(frozen=True)
class PairReport:
    """Everything the page says of a pair."""

    female: Candidate
    male: Candidate
    check: PairCheck
    diversity: Diversity | None
    cautions: tuple[str, ...]
    verdict: str
    against: tuple[str, ...] = ()  # what forbids it today, a line each

    @property
    def descent(self) -> Descent:
        return self.check.words

    @property
    def is_against(self) -> bool:
        return bool(self.against)


def pair_report(
    female: Animal, male: Animal, program: Program, *, today: datetime.date
) -> PairReport:
    """A female and a male. Raises ValidationError when they are not."""
    check = check_pair(female, male, program)
    both = candidates([female, male], program, today=today)
    hers, his = both[female.pk], both[male.pk]
    against = [
        tell("{animal} {reason}", animal=one.animal.name, reason=said)
        for one in (hers, his)
        for said in one.hindrances
    ]
    if hers.to_settle and not hers.hindrances:
        against.append(tell("{animal} {reason}", animal=hers.animal.name, reason=hers.to_settle))
    if size := size_words(hers, his, program.length_unit):
        against.insert(0, size)
    if check.level == "reason":
        against.insert(
            0,
            tell("their young would have F {inbreeding}", inbreeding=check.words.short),
        )
    return PairReport(
        hers,
        his,
        check,
        _diversity(female, male, usual_litter(today).young),
        (*_cautions(hers, his), *_of_the_season(hers, his, today)),
        _verdict(hers, his, check, is_against=bool(against)),
        tuple(against),
    )


def _diversity(female: Animal, male: Animal, young: int) -> Diversity | None:
    """None when one of the two is not among the living."""
    means = kept_while_growing("mean kinship of all the living", _means, {})
    if female.pk not in means or male.pk not in means:
        return None
    mean = sum(means.values()) / len(means)
    after = after_litter_among(lineage.current().pedigree, means, male.pk, female.pk, young)
    return Diversity(
        before=1 - mean,
        after=float(after.gene_diversity),
        young=young,
        sire_mean_kinship=means[male.pk],
        dam_mean_kinship=means[female.pk],
        program_mean_kinship=mean,
    )


def _means() -> dict[int, float]:
    """Mean kinship of each of the living with all of them."""
    rests_on(Animal, Revision)
    living = living_keys()
    means = mean_kinship(lineage.current().pedigree, living)
    return dict(zip(living, means.tolist(), strict=True))


def size_words(hers: Candidate, his: Candidate, unit: str) -> str:
    """Why he is too large for her, or nothing."""
    his_mm, her_mm = his.disc_width_mm, hers.disc_width_mm
    if not his_mm or not her_mm or not too_wide(his_mm, her_mm, hers.figures):
        return ""
    return wider_words(his.animal.name, his_mm, hers.animal.name, her_mm, hers.figures, unit)


def _of_the_season(hers: Candidate, his: Candidate, today: datetime.date) -> Iterator[str]:
    """Whether the two are planned already, and whether there is a tank for them."""
    for plan in waiting().filter(female=hers.animal, male=his.animal):
        yield tell("Planned already, from {day}.", day=long_day(plan.not_before))
        if plan.reason:
            yield tell("Your reason for it: “{reason}”.", reason=plan.reason.rstrip("."))
    are_together = bool(hers.place) and hers.place == his.place
    if not are_together and hers.animal.is_here and his.animal.is_here and not free_tanks(today):
        yield tell("No tank is free today: make one free for these two first.")


def _cautions(hers: Candidate, his: Candidate) -> tuple[str, ...]:
    said = []
    if mixed := mixed_said(hers.animal, his.animal, lineage.current().shares):
        said.append(
            tell("{mixed}. Nobody can promise what they will look like.", mixed=capfirst(mixed))
        )
    elif hers.animal.strain_id != his.animal.strain_id:
        said.append(
            tell("Of two strains, or of a strain and of none: their young keep no strain pure.")
        )
    for one in (hers, his):
        if not one.maturity_known:
            said.append(
                tell("Neither age nor size of {animal} is on record.", animal=one.animal.name)
            )
    if too_wide(his.disc_width_mm, hers.disc_width_mm, hers.figures) is None:
        said.append(
            tell("The size of one of the two is not on record, so they cannot be compared.")
        )
    return tuple(said)


def _verdict(hers: Candidate, his: Candidate, check: PairCheck, *, is_against: bool) -> str:
    """The answer in a sentence or two.

    is_against: something forbids it today, and stands in a list below; an F that only asks to be
    thought over is said beside the answer. Where neither age nor size of one is on record, nothing
    is ruled out.
    """
    names = joined([hers.animal.name, his.animal.name])
    young = check.words
    if is_against:
        said = tell("Not {names} now.", names=names)
        return " ".join([said, *_thought_over(check)])
    if check.level == "caution":
        said = tell("Think {names} over: nothing else on record speaks against them.", names=names)
        return " ".join([said, *_thought_over(check)])
    if young.open_kin:
        return tell(
            "Nothing on record speaks against {names}, but {open_kin}.",
            names=names,
            open_kin=young.open_kin,
        )
    if not young.inbreeding and young.could_be_words:
        return tell(
            "Nothing on record speaks against {names}, but {could_be}.",
            names=names,
            could_be=young.could_be_words,
        )
    if not young.inbreeding:
        values = {"names": names, "closeness": young.closeness}
        if hers.maturity_known and his.maturity_known:
            return tell("Nothing speaks against {names}: {closeness}.", **values)
        return tell("Nothing on record speaks against {names}: {closeness}.", **values)
    return tell(
        "Nothing serious speaks against {names}: F {inbreeding}.",
        names=names,
        inbreeding=young.short,
    )


def _thought_over(check: PairCheck) -> list[str]:
    """What an F below the one that needs a reason, and not small, asks for."""
    if check.level != "caution":
        return []
    words = check.words.short
    return [tell("Their young would have F {inbreeding}.", inbreeding=words)]
