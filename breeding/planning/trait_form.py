"""The part of the plan's form in which a trait is wished for in some of the young."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from breeding.litters.size import LitterSize
from breeding.planning.season.trait_wish import TraitWish
from breeding.program.generics import ModelChoiceField
from breeding.program.typed.numbers import TypedDecimal, TypedWhole
from breeding.program.typed.reading import PER_CENT_SIGN
from breeding.traits.models import Trait
from breeding.traits.reading import reading_of
from breeding.words.language import message, tell

SHOWS, HAS = "shows", "has"
LOOKS = ((SHOWS, message("they show it")), (HAS, message("they have it, shown or carried")))
PER_YOUNG, PER_LITTER = "young", "litter"
PER = (
    (PER_YOUNG, message("each young by itself")),
    (PER_LITTER, message("at least one of a litter of the usual size")),
)
TRAIT_FIELDS = ("trait", "trait_look", "trait_per", "trait_least", "trait_pairs")


class ToldChoice(forms.ChoiceField):
    """One of a few, whose words are said in the reader's language; what is not asked is usual."""

    def __init__(self, choices: Sequence[tuple[str, str]], *, initial: str, **kwargs: Any) -> None:
        self._words = choices
        super().__init__(choices=self._told, initial=initial, required=False, **kwargs)

    def _told(self) -> list[tuple[str, str]]:
        return [(key, tell(words)) for key, words in self._words]

    def clean(self, value: Any) -> str:
        return str(super().clean(value) or self.initial)


class TraitWishForm(forms.Form):
    """Which trait, what of it, with which chance and of how many pairs; nothing is usual."""

    trait = ModelChoiceField(
        queryset=Trait.objects.none(),
        required=False,
        label=_("A trait some of the young are to have"),
        empty_label=_("none"),
        help_text=_("The plan then takes the pairs with the least F that give it."),
    )
    trait_look = ToldChoice(LOOKS, initial=SHOWS, label=_("What is wanted of the trait"))
    trait_per = ToldChoice(PER, initial=PER_YOUNG, label=_("Of whom"))
    trait_least = TypedDecimal(
        units=PER_CENT_SIGN,
        min_value=Decimal("0.01"),
        max_value=100,
        max_digits=5,
        decimal_places=2,
        initial=25,
        required=False,
        label=_("With which chance at least, in per cent"),
        help_text=_("Of two carriers of a recessive trait one young in four shows it: 25 %."),
    )
    trait_pairs = TypedWhole(
        min_value=1,
        max_value=50,
        initial=1,
        required=False,
        label=_("Of how many pairs at least"),
    )

    def __init__(self, *args: Any, litter: LitterSize, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.litter = litter
        self.fields["trait_per"].help_text = litter.words
        traits = Trait.objects.all()
        self.fields["trait"].queryset = traits  # type: ignore[attr-defined]
        if not traits:
            for name in TRAIT_FIELDS:
                del self.fields[name]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        trait = cleaned.get("trait")
        if trait is None:
            return cleaned
        if "trait_least" in cleaned and cleaned["trait_least"] is None:
            self.add_error("trait_least", tell("Say with which chance at least; 25, for example."))
        if reading_of(trait).contradicting:
            self.add_error(
                "trait",
                tell(
                    "What was seen of {trait} cannot all be, so nothing can be said of young; look "
                    "at its page first.",
                    trait=trait,
                ),
            )
        return cleaned

    @property
    def wished_trait(self) -> Trait | None:
        found: Trait | None = self.cleaned_data.get("trait")
        return found

    @property
    def trait_wish(self) -> TraitWish | None:
        trait, facts = self.wished_trait, self.cleaned_data
        if trait is None:
            return None
        return TraitWish(
            trait.name,
            "shows" if facts["trait_look"] == SHOWS else "has",
            float(facts["trait_least"]) / 100,
            self.litter.young if facts["trait_per"] == PER_LITTER else 1,
            facts["trait_pairs"] or 1,
        )
