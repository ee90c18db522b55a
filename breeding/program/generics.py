"""Django's classes that are generic to the type checker alone, with the kind of row left open."""

from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import models

from breeding.program.fields import read_whole
from breeding.words.language import tell

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise as _Words  # said now, or once somebody reads it

    Words = _Words
    ModelForm = forms.ModelForm[Any]
    ModelChoiceField = forms.ModelChoiceField[Any]
    _Several = forms.ModelMultipleChoiceField[Any]
    ModelChoiceIterator = models.ModelChoiceIterator[Any]
else:
    Words = Any
    ModelForm = forms.ModelForm
    ModelChoiceField = forms.ModelChoiceField
    _Several = forms.ModelMultipleChoiceField
    ModelChoiceIterator = models.ModelChoiceIterator


class ModelMultipleChoiceField(_Several):
    """Several rows; a number longer than any key is none of them, rather than a failure."""

    def clean(self, value: Any) -> Any:
        for one in value or ():
            if read_whole(str(one)) is None:
                raise ValidationError(
                    tell("“{choice}” is not in the list; choose below.", choice=str(one)[:40])
                )
        return super().clean(value)
