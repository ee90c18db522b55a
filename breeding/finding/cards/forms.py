"""For whom cards are printed, on which labels, and from which one on."""

import re
from collections.abc import Iterator
from typing import Any

from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.finding.cards.card import animals_in
from breeding.finding.cards.grids import BY_KEY, GRIDS
from breeding.housing.models import Tank
from breeding.program.typed.numbers import TypedWhole
from breeding.words.language import tell
from breeding.words.numbers import written

MOST_CARDS = 600
TANKS, ANIMALS, OF_A_TANK, CHOSEN = "tanks", "animals", "tank", "chosen"


class CardsForm(forms.Form):
    """What is printed; sent as an address, since nothing is written."""

    whom = forms.ChoiceField(
        label=_("For whom"),
        choices=[
            (TANKS, _("all tanks")),
            (ANIMALS, _("all animals that are here")),
            (OF_A_TANK, _("a tank and the animals in it")),
            (CHOSEN, _("those named below")),
        ],
        initial=TANKS,
    )
    tank = forms.ModelChoiceField(
        queryset=Tank.objects.none(), required=False, empty_label=_("none"), label=_("Which tank")
    )
    named = forms.CharField(
        required=False,
        label=_("Codes or names"),
        max_length=8000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Of animals and tanks, each on a line of its own or behind a comma."),
    )
    sheet = forms.ChoiceField(label=_("Labels"), initial=GRIDS[0].key)
    first = TypedWhole(
        label=_("Begin at label"),
        min_value=1,
        initial=1,
        help_text=_("On the first sheet, counted line by line: for a sheet that was begun before."),
    )
    lines = forms.BooleanField(required=False, initial=True, label=_("Lines to cut along"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        tanks = Tank.objects.filter(withdrawn_at__isnull=True).order_by("name")
        self.fields["tank"].queryset = tanks  # type: ignore[attr-defined]
        self.fields["sheet"].choices = [  # type: ignore[attr-defined]
            (
                one.key,
                tell(
                    "{paper}: {columns} by {rows}, {width} by {height} mm",
                    paper=one.paper_words,
                    columns=one.columns,
                    rows=one.rows,
                    width=written(f"{one.width_mm:g}"),
                    height=written(f"{one.height_mm:g}"),
                ),
            )
            for one in GRIDS
        ]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        grid, first = BY_KEY.get(cleaned.get("sheet", "")), cleaned.get("first")
        if grid and first and first > grid.on_a_sheet:
            words = tell(
                "A sheet has {last} labels, so there is no label {number}.",
                number=first,
                last=grid.on_a_sheet,
            )
            self.add_error("first", words)
        if cleaned.get("whom") == OF_A_TANK and not cleaned.get("tank"):
            self.add_error("tank", tell("Which tank? Choose one."))
        if not self.errors:
            cleaned["things"] = list(self._things(cleaned))
        return cleaned

    def _things(self, cleaned: dict[str, Any]) -> Iterator[Animal | Tank]:
        whom = cleaned["whom"]
        if whom == CHOSEN:
            yield from self._named(cleaned["named"])
        elif whom == OF_A_TANK:
            yield from (cleaned["tank"], *animals_in(cleaned["tank"]))
        else:
            rows: QuerySet[Any] = self.fields["tank"].queryset  # type: ignore[attr-defined]
            if whom == ANIMALS:
                here = Animal.objects.filter(state=Animal.State.HERE)
                rows = here.order_by("call_name", "code")
            if (count := rows.count()) > MOST_CARDS:
                words = tell(
                    "{number} cards are too many at once; at most {most} are printed.",
                    number=count,
                    most=MOST_CARDS,
                )
                self.add_error("whom", words)
            elif not count:
                self.add_error("whom", tell("There are none yet."))
            else:
                yield from rows

    def _named(self, typed: str) -> Iterator[Animal | Tank]:
        """Each that is called so; a code means one, a name perhaps several."""
        names = list(dict.fromkeys(" ".join(one.split()) for one in re.split(r"[,;\n]", typed)))
        names = [one for one in names if one]
        if not names or len(names) > MOST_CARDS:
            said = (
                tell("At most {most} are printed at once.", most=MOST_CARDS)
                if names
                else tell("Whom? Name one.")
            )
            self.add_error("named", said)
            return
        for name in names:
            animals = Animal.objects.filter(Q(code__iexact=name) | Q(call_name__iexact=name))
            tanks = Tank.objects.filter(withdrawn_at__isnull=True, name__iexact=name)
            found: list[Animal | Tank] = [*animals, *tanks]
            if not found:
                words = tell("“{name}” is neither an animal nor a tank on record.", name=name)
                self.add_error("named", words)
            yield from found
