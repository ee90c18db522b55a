"""Who is missing: what an animal bought would have to be to help this program most."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal, Revision
from breeding.animals.species.profiles import all_profiles
from breeding.planning.season.plan import SeasonPlan
from breeding.planning.season.readiness import Candidate
from breeding.planning.state.members import pure_species
from breeding.program.unchanged.growing import kept_from_page_to_page
from breeding.program.unchanged.marks import rests_on
from breeding.words.descent.diversity import diversity_figure
from breeding.words.language import tell
from pedigree import LivingKinship, with_newcomer

MOST_SHOWN = 3
A_LITTERS_WORTH = 1 / 8  # of F: what a litter that cannot be now is worth; an assumption


@dataclass(frozen=True)
class Missing:
    """One kind of animal that is not here. mates: those of the other sex it would help most, who
    are without a mate in the plan or have one that is kin. falls: by how much the F of their young
    would fall, together. diversity: of the program, now and after its first litter."""

    sex: str
    species: str
    mates: tuple[Animal, ...]
    without: int  # how many of them have nobody in the plan
    falls: float
    gained: float
    diversity: tuple[str, str]
    best_mate: Animal


def who_is_missing(
    plan: SeasonPlan,
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    known: Lineage,
    living: Sequence[int],
) -> list[Missing]:
    """What helps most first. Cost: that of the living's kinship.

    Kept for the same plan until an animal, its parents or a species is written; nobody may change
    it.
    """
    hers, his = (tuple(one.animal.pk for one in some) for some in (females, males))
    pairs = {(row.female.animal.pk, row.male.animal.pk, row.inbreeding): None for row in plan.rows}
    her_animals, his_animals = ([one.animal for one in some] for some in (females, males))
    return kept_from_page_to_page(
        ("who is missing", hers, his, tuple(living), tuple(pairs), plan.litter),
        lambda: _who_is_missing(
            tuple(pairs), her_animals, his_animals, known, living, litter=plan.litter
        ),
        alike="who is missing",
    )


def _who_is_missing(
    pairs: Sequence[tuple[int, int, float]],
    females: Sequence[Animal],
    males: Sequence[Animal],
    known: Lineage,
    living: Sequence[int],
    *,
    litter: int,
    per_male: int = 2,
) -> list[Missing]:
    """pairs: of the plan, by the keys of female and male, with the F of their young."""
    rests_on(Animal, Revision)
    names = all_profiles().names
    kinship = LivingKinship.of(known.pedigree, list(living))
    found = []
    for sex, mates, most in (("M", females, per_male), ("F", males, 1)):
        mine = {her if sex == "M" else his: inbreeding for her, his, inbreeding in pairs}
        by_species: dict[int, list[Animal]] = {}
        for one in mates:
            kind = pure_species(known.shares.get(one.pk, {}))
            if kind is not None:
                by_species.setdefault(kind, []).append(one)
        for kind, some in by_species.items():
            found.append(_missing(sex, names[kind], some, mine, most, kinship, litter))
    found.sort(key=lambda one: (-(one.falls + A_LITTERS_WORTH * one.without), -one.gained))
    return found[:MOST_SHOWN]


def _missing(
    sex: str,
    species: str,
    mates: Sequence[Animal],
    planned: Mapping[int, float],
    most: int,
    kinship: LivingKinship,
    litter: int,
) -> Missing:
    def worth(one: Animal) -> float:
        return planned.get(one.pk, A_LITTERS_WORTH if sex == "M" else 0.0)

    helped = sorted((one for one in mates if worth(one) > 0), key=lambda one: -worth(one))[:most]
    after = with_newcomer(kinship, [one.pk for one in mates], litter)
    best = int(after.argmax())
    now = kinship.gene_diversity
    return Missing(
        sex,
        species,
        tuple(helped),
        sum(one.pk not in planned for one in helped),
        sum(planned.get(one.pk, 0.0) for one in helped),
        float(after[best]) - now,
        (diversity_figure(now), diversity_figure(float(after[best]))),
        mates[best],
    )


def no_room_to_buy(plan: SeasonPlan, free: Sequence[str], *, has_tanks: bool) -> str:
    """That no tank is left for an animal that comes, which has to be apart from all others first;
    empty where one is, and where no tank is on record. free: names of the tanks with nobody in."""
    if not has_tanks:
        return ""
    if not free:
        return tell(
            "No tank is free today, and whoever comes needs one of its own first: make one free "
            "before you buy."
        )
    if set(free) <= {row.tank for row in plan.rows}:
        return tell(
            "The tanks that are free are given to pairs of this plan, and whoever comes needs one "
            "of its own first: make one more free before you buy."
        )
    return ""
