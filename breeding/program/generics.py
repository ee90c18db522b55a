"""Django's classes that are generic to the type checker alone, with the kind of row left open."""

from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError

from breeding.program.fields import read_whole

if TYPE_CHECKING:
    ModelForm = forms.ModelForm[Any]
    ModelChoiceField = forms.ModelChoiceField[Any]
    _Several = forms.ModelMultipleChoiceField[Any]
else:
    ModelForm = forms.ModelForm
    ModelChoiceField = forms.ModelChoiceField
    _Several = forms.ModelMultipleChoiceField


class ModelMultipleChoiceField(_Several):
    """Several rows; a number longer than any key is none of them, rather than a failure."""

    def clean(self, value: Any) -> Any:
        for one in value or ():
            if read_whole(str(one)) is None:
                raise ValidationError(f"“{str(one)[:40]}” is none of the list; choose below.")
        return super().clean(value)
