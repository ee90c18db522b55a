"""Django's classes that are generic to the type checker alone, with the kind of row left open."""

from typing import TYPE_CHECKING, Any

from django import forms

if TYPE_CHECKING:
    ModelForm = forms.ModelForm[Any]
    ModelChoiceField = forms.ModelChoiceField[Any]
    ModelMultipleChoiceField = forms.ModelMultipleChoiceField[Any]
else:
    ModelForm = forms.ModelForm
    ModelChoiceField = forms.ModelChoiceField
    ModelMultipleChoiceField = forms.ModelMultipleChoiceField
