"""What is asked of a look ahead, figure by figure."""

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from breeding.planning.ahead.own_figures import ASSUMPTION, TYPED_IN, OwnFigure, basis_words
from breeding.program.typed.numbers import TypedFloat, TypedWhole
from breeding.program.typed.reading import PER_CENT_SIGN
from breeding.words.language import tell
from breeding.words.style import capital
from pedigree.ahead.assumptions import Assumptions

MOST_YEARS, MOST_REPLICATES = 30, 500
NOT_ASKED = ("loci",)


class LookAheadForm(forms.Form):
    """One field for every assumption, begun with the program's own figure where there is one."""

    seed = TypedWhole(
        min_value=0,
        max_value=2**31 - 1,
        initial=1,
        label=_("Seed"),
        help_text=_("The same seed and the same records give the same answer."),
    )

    def __init__(self, *args: Any, own: Mapping[str, OwnFigure], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.own = own
        for one in fields(Assumptions):
            if one.name not in NOT_ASKED:
                self.fields[one.name] = self._field(one.name, one.default, one.metadata)
        self.order_fields(["years", "replicates", "seed"])

    def _field(self, name: str, default: Any, about: Mapping[str, Any]) -> forms.Field:
        own = self.own.get(name)
        value = own.value if own else default
        is_share = about["unit"] == "share"
        low, high = about["low"], about["high"]
        high = {"years": MOST_YEARS, "replicates": MOST_REPLICATES}.get(name, high)
        label = capital(tell(about["says"]))
        basis = capital(basis_words(own.basis if own else ASSUMPTION))
        common: dict[str, Any] = {
            "label": tell("{figure}, in per cent", figure=label) if is_share else label,
            "required": not about.get("may_be_none"),
            "help_text": basis,
        }
        if "without" in about:
            common["help_text"] = tell("Empty: {meaning}", meaning=tell(about["without"]))
        if about.get("whole"):
            return TypedWhole(min_value=low, max_value=high, initial=value, **common)
        shown = _shown(value, is_share=is_share)
        if value is not None and _taken(shown, is_share=is_share) != value:
            common["help_text"] = tell(
                "{basis}; rounded here, and taken unrounded when left as it stands", basis=basis
            )
        limits = (0, 100) if is_share else (low, high)
        units = PER_CENT_SIGN if is_share else None
        return TypedFloat(
            min_value=limits[0], max_value=limits[1], initial=shown, units=units, **common
        )

    def figures(self) -> dict[str, Any]:
        """Names of assumptions to values, shares from 0 to 1.

        What was left as offered is the program's own figure to the last digit.
        """
        found: dict[str, Any] = {}
        for one in fields(Assumptions):
            if one.name in NOT_ASKED:
                continue
            if one.name in self.own and self._is_as_offered(one.name):
                found[one.name] = self.own[one.name].value
            else:
                is_share = one.metadata["unit"] == "share"
                found[one.name] = _taken(self.cleaned_data[one.name], is_share=is_share)
        return found

    def basis(self) -> dict[str, str]:
        """Where each figure comes from, as it is kept: records, an assumption, or typed in."""
        return {
            name: (self.own[name].basis if name in self.own else ASSUMPTION)
            if self._is_as_offered(name)
            else TYPED_IN
            for name in self.fields
            if name != "seed"
        }

    def _is_as_offered(self, name: str) -> bool:
        return bool(self.cleaned_data.get(name) == self.fields[name].initial)


def _shown(value: float | None, *, is_share: bool) -> float | None:
    if value is None:
        return None
    return round(value * 100, 1) if is_share else round(value, 2)


def _taken(typed: float | None, *, is_share: bool) -> float | None:
    return typed / 100 if is_share and typed is not None else typed
