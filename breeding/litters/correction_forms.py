"""Forms that put a birth or a pup right, move a pup, and join young on record."""

import datetime
from dataclasses import replace
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from breeding.animals.parents.parentage import Parents
from breeding.animals.typed.fields import check_past_day
from breeding.litters.births.facts import PupFacts
from breeding.litters.births.family import (
    family_of,
    pups_of_other_parents,
    pups_on_record,
    same_sires,
)
from breeding.litters.births.joining import surely_young_of
from breeding.litters.forms import (
    POSSIBLE_SIRES,
    PupForm,
    SiresForm,
    YoungChoice,
    written_sires,
)
from breeding.litters.models import Litter, Pup
from breeding.pairings.models import Outcome
from breeding.program.forms import DayInput
from breeding.program.generics import ModelChoiceField
from breeding.words.days import long_day
from breeding.words.language import tell


class LitterForm(SiresForm):
    """A birth as it was: what is changed here follows in every pup of it."""

    template_name = "litters/_litter_form.html"

    keep_theirs = forms.MultipleChoiceField(
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label=_("These keep the sire that their own page says, as when a test has told it"),
    )

    def __init__(self, *args: Any, litter: Litter, **kwargs: Any) -> None:
        pups = [pup for pup in pups_on_record(litter) if pup.animal is not None]
        self.family = family_of(litter, pups)
        rows = max(POSSIBLE_SIRES, len(self.family.possible_sires))
        of_other = [str(pup.pk) for pup in pups_of_other_parents(litter, pups)]
        known = written_sires(litter.dam, litter.born_on, self.family, rows=rows)
        initial = known | {
            "dam": litter.dam,
            "born_on": litter.born_on,
            "premature": litter.outcome.kind == Outcome.Kind.PREMATURE,
            "note": litter.note,
            "keep_theirs": of_other,
        }
        super().__init__(*args, initial=initial, sire_rows=rows, **kwargs)
        self.fields["keep_theirs"].choices = [  # type: ignore[attr-defined]
            (str(pup.pk), pup.animal.full_name) for pup in pups if pup.animal is not None
        ]
        order = ["dam", "born_on", "sire", *self._sire_fields, "keep_theirs", "premature", "note"]
        self.order_fields(order)
        if not pups:
            for name in ("sire", "keep_theirs", *self._sire_fields):
                del self.fields[name]
            self.sire_rows = 0

    @property
    def _sire_fields(self) -> list[str]:
        numbers = range(1, self.sire_rows + 1)
        return [f"possible_{part}_{number}" for number in numbers for part in ("sire", "share")]

    @property
    def sires(self) -> Parents | None:
        """Those of all its pups; None when nothing about them was changed."""
        if "keep_theirs" not in self.fields:
            return None
        typed: Parents = self.cleaned_data["parents"]
        same = same_sires(typed, self.family)
        return None if same and "keep_theirs" not in self.changed_data else typed

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        cleaned["sires"] = self.sires
        cleaned["keep_theirs"] = {int(one) for one in cleaned.get("keep_theirs") or ()}
        return cleaned


class PupChangeForm(PupForm):
    """One pup as it was at birth."""

    fate = forms.ChoiceField(
        choices=[("alive", _("alive")), ("dead", _("dead"))], label=_("At birth it was")
    )

    born_on = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Born on a later day"),
        help_text=_("Empty: on the day of the first of its litter."),
    )

    def __init__(self, *args: Any, pup: Pup, today: datetime.date, **kwargs: Any) -> None:
        self.today = today
        initial = {
            "born_on": pup.born_on,
            "fate": "alive" if pup.alive else "dead",
            "sex": pup.sex,
            "disc_width_mm": pup.disc_width_mm,
            "weight_g": pup.weight_g,
            "yolk": pup.yolk,
            "markings": pup.markings,
        }
        super().__init__(*args, initial=initial, **kwargs)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not self.errors:
            cleaned["pup"] = self.facts
        return cleaned

    def clean_born_on(self) -> datetime.date | None:
        on: datetime.date | None = self.cleaned_data["born_on"]
        if on is not None:
            check_past_day(on, self.today)
        return on

    @property
    def facts(self) -> PupFacts | None:
        facts = super().facts
        return facts and replace(facts, born_on=self.cleaned_data.get("born_on"))


class LitterChoice(ModelChoiceField):
    def label_from_instance(self, obj: Any) -> str:
        return tell(
            "{code} of {dam}, born {day}",
            code=obj.code,
            dam=obj.dam.name,
            day=long_day(obj.born_on),
        )


class MovePupForm(forms.Form):
    """The litter that a pup belongs to."""

    to = LitterChoice(Litter.objects.none(), label=_("It is of litter"))

    def __init__(self, *args: Any, litter: Litter, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        others = Litter.objects.filter(withdrawn_at__isnull=True).exclude(pk=litter.pk)
        self.fields["to"].queryset = others.select_related("dam")  # type: ignore[attr-defined]


class JoinForm(forms.Form):
    """Which animals on record are pups of a litter on record."""

    young = YoungChoice(label=_("These are of this litter"))
    keep_their_sires = forms.BooleanField(
        required=False, label=_("Each keeps the sire it has on record")
    )

    def __init__(self, *args: Any, litter: Litter, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["young"]
        assert isinstance(field, YoungChoice)  # noqa: S101  (for the type checker)
        field.offer(litter.dam, litter.born_on, family_of(litter))
        surely = surely_young_of(litter.dam, litter.born_on)
        self.initial.setdefault("young", [one.pk for one in surely])
