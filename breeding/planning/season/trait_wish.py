"""A trait that some young of the season are to have, as a wish for the plan, in words; pure."""

from dataclasses import dataclass, replace
from typing import Literal

from breeding.traits.said import chance_of
from breeding.words.language import tell, tell_many

ENOUGH = 1e-9  # a chance is met within it


@dataclass(frozen=True)
class TraitWish:
    """So many pairs of which the young show a trait, or have it, with at least this chance.

    young: of how many young at least one; 1: each young by itself.
    """

    trait: str
    look: Literal["shows", "has"]
    least: float
    young: int = 1
    pairs: int = 1

    def but(self, *, least: float | None = None, pairs: int | None = None) -> "TraitWish":
        """The same, for less."""
        return replace(
            self,
            least=self.least if least is None else least,
            pairs=self.pairs if pairs is None else pairs,
        )

    def is_met(self, chance: float) -> bool:
        return chance >= self.least - ENOUGH

    @property
    def words(self) -> str:
        """As a part of what is asked: "1 pair whose young show Albino with 25 % or more"."""
        values = {"trait": self.trait, "chance": chance_of(self.least), "young": self.young}
        if self.young == 1 and self.look == "shows":
            return tell_many(
                "{number} pair whose young each show {trait} with {chance} or more",
                "{number} pairs whose young each show {trait} with {chance} or more",
                self.pairs,
                **values,
            )
        if self.young == 1:
            return tell_many(
                "{number} pair whose young each have {trait}, shown or carried, with {chance} or "
                "more",
                "{number} pairs whose young each have {trait}, shown or carried, with {chance} or "
                "more",
                self.pairs,
                **values,
            )
        if self.look == "shows":
            return tell_many(
                "{number} pair with {chance} or more that of {young} young one shows {trait}",
                "{number} pairs with {chance} or more that of {young} young one shows {trait}",
                self.pairs,
                **values,
            )
        return tell_many(
            "{number} pair with {chance} or more that of {young} young one has {trait}, shown or "
            "carried",
            "{number} pairs with {chance} or more that of {young} young one has {trait}, shown or "
            "carried",
            self.pairs,
            **values,
        )

    def of_pair(self, chance: float) -> str:
        """What the young of a pair will be: "Albino: each of their young shows it with 25 %"."""
        values = {"trait": self.trait, "chance": chance_of(chance), "number": self.young}
        if self.young == 1 and self.look == "shows":
            return tell("{trait}: each of their young shows it with {chance}", **values)
        if self.young == 1:
            return tell(
                "{trait}: each of their young has it, shown or carried, with {chance}", **values
            )
        if self.look == "shows":
            return tell("{trait}: of {number} young at least one shows it with {chance}", **values)
        return tell(
            "{trait}: of {number} young at least one has it, shown or carried, with {chance}",
            **values,
        )
