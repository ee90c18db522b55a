"""What is asked of a look ahead, figure by figure."""

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from django import forms

from breeding.planning.own_figures import OwnFigure
from pedigree.assumptions import Assumptions

MOST_YEARS, MOST_REPLICATES = 30, 500
PER_CENT = "in per cent"
NOT_ASKED = ("loci",)


class LookAheadForm(forms.Form):
    """One field for every assumption, begun with the program's own figure where there is one."""

    seed = forms.IntegerField(
        min_value=0,
        max_value=2**31 - 1,
        initial=1,
        label="Seed",
        help_text="The same seed and the same records give the same answer.",
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
        words = about["says"].removesuffix(" None: as many as live today").rstrip(".")
        label = words[0].upper() + words[1:]
        common: dict[str, Any] = {
            "label": f"{label}, {PER_CENT}" if is_share else label,
            "required": not about.get("may_be_none"),
            "help_text": own.basis.capitalize() if own else "Assumption",
        }
        if name == "places":
            common["help_text"] = "Empty: as many as live today"
        if about.get("whole"):
            return forms.IntegerField(min_value=low, max_value=high, initial=value, **common)
        if is_share:
            shown = None if value is None else round(value * 100, 1)
            return forms.FloatField(min_value=0, max_value=100, initial=shown, **common)
        shown = None if value is None else round(value, 2)
        return forms.FloatField(min_value=low, max_value=high, initial=shown, **common)

    def figures(self) -> dict[str, Any]:
        """Names of assumptions to values, shares from 0 to 1."""
        found = {}
        for one in fields(Assumptions):
            if one.name in NOT_ASKED:
                continue
            value = self.cleaned_data[one.name]
            is_share = one.metadata["unit"] == "share"
            found[one.name] = value / 100 if is_share and value is not None else value
        return found

    def basis(self) -> dict[str, str]:
        """Where each figure comes from: the records, unless another was typed."""
        return {
            name: one.basis if self._is_as_offered(name) else "typed in"
            for name, one in self.own.items()
        }

    def _is_as_offered(self, name: str) -> bool:
        return bool(self.cleaned_data.get(name) == self.fields[name].initial)
