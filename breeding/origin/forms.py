"""A paper of origin, as it is typed."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.animals.typed.choosing import AnimalChoice
from breeding.buyers.models import SourceCode
from breeding.origin.models import OriginPaper
from breeding.program.forms import DayInput
from breeding.program.generics import ModelForm
from breeding.words.language import tell


class OriginPaperForm(ModelForm):
    """A paper on where an animal comes from."""

    document = forms.FileField(
        required=False,
        label=_("The document itself"),
        help_text=_("PDF, JPEG, PNG or WebP, at most 20 MB. Only people who are signed in see it."),
    )

    class Meta:
        model = OriginPaper
        fields = ["source_code", "permit_number", "issued_by", "dated", "note"]
        labels = {
            "source_code": _("Source code on it"),
            "permit_number": _("Permit or other number"),
        }
        widgets = {"dated": DayInput()}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        said = ("source_code", "permit_number", "issued_by", "note", "document")
        if not self.errors and not any(cleaned.get(name) for name in said):
            raise ValidationError(
                tell("Give at least a code, a number, who issued it, or the document.")
            )
        return cleaned


class OriginPaperChangeForm(forms.Form):
    """What was written down of a paper, put right; the document itself is not replaced."""

    animal = AnimalChoice(queryset=Animal.objects.all(), label=_("Paper of"))
    source_code = forms.ChoiceField(
        choices=[("", _("none")), *SourceCode.choices], required=False, label=_("Source code on it")
    )
    permit_number = forms.CharField(
        max_length=120, required=False, label=_("Permit or other number")
    )
    issued_by = forms.CharField(max_length=120, required=False)
    dated = forms.DateField(widget=DayInput(), required=False)
    note = forms.CharField(max_length=400, required=False)

    def __init__(self, *args: Any, paper: OriginPaper, **kwargs: Any) -> None:
        names = ("source_code", "permit_number", "issued_by", "dated", "note")
        initial = {name: getattr(paper, name) for name in names}
        kwargs["initial"] = {**initial, "animal": paper.animal_id}
        super().__init__(*args, **kwargs)
