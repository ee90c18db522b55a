"""Forms on identity: a picture of nobody yet, its day and note put right, who it is."""

from django import forms
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.animals.typed.choosing import AnimalChoice
from breeding.animals.typed.fields import PhotographField
from breeding.identity.models import SaidTwo, UntoldPicture
from breeding.program.forms import DayInput
from breeding.program.generics import ModelForm


class UntoldForm(ModelForm):
    """A picture of which nobody has said yet who it is."""

    file = PhotographField(
        label=_("Picture"),
        help_text=_(
            "From above, the whole disc flat and in the picture, without glare. JPEG, PNG or WebP."
        ),
    )

    class Meta:
        model = UntoldPicture
        fields = ["taken_on", "note"]
        widgets = {"taken_on": DayInput()}

    field_order = ["file", "taken_on", "note"]


class UntoldChangeForm(ModelForm):
    """Its day and its note put right."""

    class Meta:
        model = UntoldPicture
        fields = ["taken_on", "note"]
        widgets = {"taken_on": DayInput()}


class WhoForm(forms.Form):
    """Who it is, as a person says after looking."""

    animal = AnimalChoice(queryset=Animal.objects.none(), label=_("Which animal"))

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        animals = Animal.objects.order_by("call_name", "code")
        self.fields["animal"].queryset = animals  # type: ignore[attr-defined]


class SayTwoForm(forms.Form):
    """Two animals that look alike, of which somebody says that they are two."""

    one = AnimalChoice(queryset=Animal.objects.none(), label=_("This animal"))
    other = AnimalChoice(queryset=Animal.objects.none(), label=_("and this one are two"))
    note = forms.CharField(max_length=200, required=False, label=_("How you know"))

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        animals = Animal.objects.order_by("call_name", "code")
        for name in ("one", "other"):
            self.fields[name].queryset = animals  # type: ignore[attr-defined]


class SaidTwoChangeForm(ModelForm):
    """How a keeper knows that two that look alike are two."""

    class Meta:
        model = SaidTwo
        fields = ["note"]
