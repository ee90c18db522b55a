"""That a trait hidden in carriers shows only a generation later, in words; reads nothing."""

from collections.abc import Sequence

from breeding.planning.season.readiness import Candidate
from breeding.planning.season.trait_wish import TraitWish
from breeding.traits.inheritance import Belief
from breeding.words.language import tell
from breeding.words.numbers import figure

YEAR_DAYS = 365.25


def second_generation(wish: TraitWish, belief: Belief, females: Sequence[Candidate]) -> str:
    """When a trait shows that the young of this season only carry; empty where carriers show it.

    females: those that may be dams; the soonest day is that of the species that is fit to breed
    first, after one gestation now and one then.
    """
    if belief.kind != "recessive" or not females:
        return ""
    days = min(
        one.figures.figure("breed_female_days")
        + one.figures.gestation_shortest_days
        + one.figures.gestation_longest_days
        for one in females
    )
    values = {"trait": wish.trait, "years": figure(days / YEAR_DAYS, 1, trimmed=True)}
    if wish.look == "has":
        return tell(
            "Young that only carry {trait} do not show it. It shows a generation later: in young "
            "of two that carry it, or of one that carries and one that shows it. That is about "
            "{years} years from now, for a female has to grow up first.",
            **values,
        )
    return tell(
        "It can be had in two generations as well: young of this season that carry {trait} without "
        "showing it, and from these, in about {years} years, young that show it.",
        **values,
    )
