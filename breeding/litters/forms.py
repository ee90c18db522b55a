"""Recording a birth: each pup, or just counts."""

import datetime
from dataclasses import replace
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.animals.forms import parent_choices
from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.animals.typed.choosing import AnimalChoice
from breeding.animals.typed.fields import PhotographField, check_past_day
from breeding.litters.births.facts import MOST_PUPS, PupFacts
from breeding.litters.births.joining import differs_words, may_be_young_of, surely_young_of
from breeding.litters.models import Pup
from breeding.program.forms import DayInput
from breeding.program.generics import ModelMultipleChoiceField
from breeding.program.models import Program
from breeding.program.typed.measures import LengthField, WeightField
from breeding.program.typed.numbers import TypedWhole
from breeding.program.typed.shares import TypedShareField
from breeding.words.language import tell

ROWS = 12
POSSIBLE_SIRES = 3
MOST_GRAMS = 5000  # of a pup
LONGEST_KEY = 18  # digits


class SiresForm(forms.Form):
    """Of which dam and day a birth is, and who the sire is."""

    dam = AnimalChoice(queryset=Animal.objects.none(), label=_("Dam"))
    born_on = forms.DateField(widget=DayInput(), label=_("Born on"))
    sire = AnimalChoice(
        queryset=Animal.objects.none(), required=False, empty_label=_("unknown"), label=_("Sire")
    )
    premature = forms.BooleanField(required=False, label=_("It came too early"))
    note = forms.CharField(
        max_length=1000, required=False, widget=forms.Textarea(attrs={"rows": 2}), label=_("Note")
    )

    def __init__(
        self, *args: Any, today: datetime.date, sire_rows: int = POSSIBLE_SIRES, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.today, self.sire_rows = today, sire_rows
        males = parent_choices(Animal.Sex.MALE)
        females = Animal.objects.filter(sex=Animal.Sex.FEMALE).order_by("call_name", "code")
        self.fields["dam"].queryset = females  # type: ignore[attr-defined]
        self.fields["sire"].queryset = males  # type: ignore[attr-defined]
        for number in range(1, sire_rows + 1):
            self.fields[f"possible_sire_{number}"] = AnimalChoice(
                queryset=males,
                required=False,
                label=tell("Possible sire {number}", number=number),
                empty_label="-",
            )
            self.fields[f"possible_share_{number}"] = TypedShareField(label=_("Share"))

    @property
    def possible_sire_rows(self) -> list[tuple[Any, Any]]:
        return [
            (self[f"possible_sire_{n}"], self[f"possible_share_{n}"])
            for n in range(1, self.sire_rows + 1)
        ]

    def clean_born_on(self) -> datetime.date:
        on: datetime.date = self.cleaned_data["born_on"]
        check_past_day(on, self.today)
        return on

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        possible: list[tuple[Any, Any]] = []
        for number in range(1, self.sire_rows + 1):
            sire = cleaned.get(f"possible_sire_{number}")
            share = cleaned.get(f"possible_share_{number}")
            if sire is not None and share is None:
                self.add_error(
                    f"possible_share_{number}",
                    tell("Give {sire} a share, like 1/2.", sire=sire.name),
                )
            elif sire is None and share is not None:
                self.add_error(
                    f"possible_sire_{number}",
                    tell("Whose share is {share}?", share=share),
                )
            elif sire is not None:
                possible.append((sire, share))
        cleaned["parents"] = Parents(cleaned.get("sire"), cleaned.get("dam"), tuple(possible))
        return cleaned


class YoungChoice(ModelMultipleChoiceField):
    """Animals on record that may be of a birth, each with what differs from it."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(Animal.objects.none(), widget=forms.CheckboxSelectMultiple, **kwargs)
        self.birth: tuple[Animal, datetime.date, Parents] | None = None

    def label_from_instance(self, obj: Any) -> str:
        named = {"animal": obj.full_name, "sex": obj.get_sex_display()}
        said = tell("{animal}, {sex}", **named)
        if not obj.is_here:
            said = tell("{animal}, {sex}, {state}", **named, state=obj.get_state_display())
        differs = differs_words(obj, *self.birth) if self.birth else ""
        return (
            tell("{young}: on record {differs}", young=said, differs=differs) if differs else said
        )

    def clean(self, value: Any) -> Any:
        """No database is asked for a key that is longer than any it can hold."""
        for key in value or ():
            if len(str(key)) > LONGEST_KEY:
                message = self.error_messages["invalid_choice"]
                raise ValidationError(message, code="invalid_choice", params={"value": key})
        return super().clean(value)

    def offer(self, dam: Animal, on: datetime.date, parents: Parents) -> None:
        self.queryset = may_be_young_of(dam, on)
        self.birth = (dam, on, parents)


class BirthForm(SiresForm):
    """Who gave birth, when, who the sire is, and which of those on record were born then."""

    alive_count = TypedWhole(
        min_value=0, max_value=MOST_PUPS, required=False, label=_("Alive, just counted")
    )
    dead_count = TypedWhole(
        min_value=0, max_value=MOST_PUPS, required=False, label=_("Dead, just counted")
    )
    young = YoungChoice(required=False, label=_("These young on record are of this birth"))
    keep_their_sires = forms.BooleanField(
        required=False, label=_("Of these, each keeps the sire it has on record")
    )
    # For whose birth, on which day, the sires offered were reckoned: "12 2026-03-09".
    sires_for = forms.CharField(max_length=40, required=False, widget=forms.HiddenInput())
    # The same for the young on record that were offered.
    young_for = forms.CharField(max_length=40, required=False, widget=forms.HiddenInput())

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if (birth := self._birth_of(str(self["young_for"].value() or ""))) is not None:
            self._young.offer(*birth, Parents(None, birth[0]))

    @property
    def _young(self) -> YoungChoice:
        field = self.fields["young"]
        assert isinstance(field, YoungChoice)  # noqa: S101  (for the type checker)
        return field

    @property
    def offers_young(self) -> bool:
        return self._young.queryset.exists()  # type: ignore[union-attr]

    def _birth_of(self, word: str) -> tuple[Animal, datetime.date] | None:
        key, _, day = word.partition(" ")
        try:
            on = datetime.date.fromisoformat(day)
        except ValueError:
            return None
        dams = self.fields["dam"].queryset  # type: ignore[attr-defined]
        dam = dams.filter(pk=int(key)).first() if key.isdecimal() and len(key) < 16 else None
        return (dam, on) if dam else None

    @property
    def sires_asked_for(self) -> tuple[Animal, datetime.date] | None:
        """The dam and day that the sires offered were reckoned for; None when none were."""
        return self._birth_of(self.cleaned_data["sires_for"])

    @property
    def young_asked_for(self) -> tuple[Animal, datetime.date] | None:
        """The dam and day that young on record were offered for; None when none were."""
        return self._birth_of(self.cleaned_data["young_for"])

    def with_sires(self, dam: Animal, on: datetime.date, parents: Parents) -> "BirthForm":
        """The same form, everything typed kept, with these sires offered instead."""
        typed = self.data.copy()  # type: ignore[attr-defined]
        for name, value in written_sires(dam, on, parents).items():
            typed[name] = "" if value is None else str(getattr(value, "pk", value))
        return BirthForm(typed, today=self.today)

    def with_young(self, dam: Animal, on: datetime.date) -> "BirthForm":
        """The same form with young on record offered, those ticked that are surely of it."""
        typed = self.data.copy()  # type: ignore[attr-defined]
        typed["young_for"] = f"{dam.pk} {on}"
        surely = [str(one.pk) for one in surely_young_of(dam, on)]
        if hasattr(typed, "setlist"):
            typed.setlist("young", surely)
        else:
            typed["young"] = surely
        return BirthForm(typed, today=self.today)


def written_sires(
    dam: Animal, on: datetime.date, parents: Parents, *, rows: int = POSSIBLE_SIRES
) -> dict[str, Any]:
    """Values of the fields on the sire, and what they were reckoned for."""
    values: dict[str, Any] = {"sires_for": f"{dam.pk} {on}", "sire": parents.sire}
    offered = [*parents.possible_sires[:rows], *[(None, None)] * rows]
    for number, (sire, share) in enumerate(offered[:rows], start=1):
        values |= {f"possible_sire_{number}": sire, f"possible_share_{number}": share}
    return values


class RestForm(forms.Form):
    """Until when the dam rests, by the keeper's own choice."""

    until = forms.DateField(
        widget=DayInput(),
        label=_("Rests until"),
        help_text=_("From this day on she may be paired again; the day of the birth: no rest."),
    )
    note = forms.CharField(max_length=200, required=False, label=_("Why"))


class PupForm(forms.Form):
    """One pup; a row left empty is no pup."""

    # What is said of one that was found, beside its fate and sex.
    told: tuple[str, ...] = ("disc_width_mm", "weight_g", "yolk", "markings")

    fate = forms.ChoiceField(
        choices=[("", "-"), ("alive", _("alive")), ("dead", _("dead"))],
        required=False,
        label=_("Pup"),
    )
    sex = forms.ChoiceField(
        choices=Animal.Sex.choices, initial=Animal.Sex.UNKNOWN, required=False, label=_("Sex")
    )
    weight_g = WeightField(most=MOST_GRAMS, required=False, label=_("Weight in grams"))
    yolk = forms.ChoiceField(choices=Pup.Yolk.choices, required=False, label=_("Yolk sac"))
    markings = forms.CharField(max_length=400, required=False, label=_("Markings"))

    field_order = ["fate", "sex", "disc_width_mm", "weight_g", "yolk", "markings"]

    def __init__(self, *args: Any, program: Program, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        unit = program.length_unit
        self.fields["disc_width_mm"] = LengthField(
            unit=unit, most_mm=500, required=False, label=tell("Width in {unit}", unit=unit)
        )
        self.order_fields(self.field_order)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        said = any(cleaned.get(name) for name in self.told)
        sexed = cleaned.get("sex") not in ("", None, Animal.Sex.UNKNOWN)
        if (said or sexed) and not cleaned.get("fate"):
            raise ValidationError(tell("Say whether this pup is alive or dead."))
        return cleaned

    @property
    def facts(self) -> PupFacts | None:
        """The pup, or None for an empty row."""
        cleaned = self.cleaned_data
        if not cleaned.get("fate"):
            return None
        return PupFacts(
            alive=cleaned["fate"] == "alive",
            sex=cleaned["sex"] or Animal.Sex.UNKNOWN,
            disc_width_mm=cleaned["disc_width_mm"],
            markings=cleaned["markings"],
            weight_g=cleaned["weight_g"],
            yolk=cleaned["yolk"],
        )


class TappedPupForm(PupForm):
    """One pup at the tank: its fate is tapped, and a picture can come with it."""

    told = (*PupForm.told, "picture")
    born_on = forms.DateField(widget=DayInput(), required=False, label=_("Born on"))
    fate = forms.ChoiceField(
        choices=[("alive", _("alive")), ("dead", _("dead"))],
        label=_("Pup"),
        error_messages={"required": _("Say whether this pup is alive or dead.")},
    )
    picture = PhotographField(
        required=False,
        label=_("Picture"),
        help_text=_("From above, so that it is told by its marks later."),
    )

    def __init__(self, *args: Any, today: datetime.date, is_first: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today, self.is_first = today, is_first
        born_on = self.fields["born_on"]
        if is_first:
            born_on.initial = today
        else:
            born_on.help_text = _("Empty: on the day of the first.")

    def clean_born_on(self) -> datetime.date | None:
        on: datetime.date | None = self.cleaned_data["born_on"]
        on = on or (self.today if self.is_first else None)
        if on is not None:
            check_past_day(on, self.today)
        return on

    @property
    def is_begun(self) -> bool:
        """Whether anything of this pup was tapped or typed already."""
        typed = set(self.changed_data) if self.is_bound else set()
        return bool(typed if self["sex"].data else typed - {"sex"})

    @property
    def facts(self) -> PupFacts | None:
        """With its own day, where it is not the first."""
        facts = super().facts
        if facts is None or self.is_first:
            return facts
        return replace(facts, born_on=self.cleaned_data.get("born_on"))


def pup_formset(data: Any, program: Program) -> Any:
    """Rows for the pups of a litter."""
    made = forms.formset_factory(PupForm, extra=ROWS, max_num=MOST_PUPS, absolute_max=MOST_PUPS)
    return made(
        data,
        prefix="pups",
        form_kwargs={"program": program},
        error_messages={
            "missing_management_form": tell(
                "The rows for the pups did not come whole; open this page anew and "
                "send it once more."
            ),
            "too_many_forms": tell("At most {number} pups are allowed.", number=MOST_PUPS),
        },
    )


def gather_pups(formset: Any, form: BirthForm) -> list[PupFacts]:
    """Pups given one by one, then those just counted."""
    one_by_one = [pup.facts for pup in formset.forms if pup.facts is not None]
    alive = form.cleaned_data.get("alive_count") or 0
    dead = form.cleaned_data.get("dead_count") or 0
    return [
        *one_by_one,
        *[PupFacts(alive=True)] * alive,
        *[PupFacts(alive=False)] * dead,
    ]
