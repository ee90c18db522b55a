"""A list to choose from is written as Django writes it."""

import pytest
from django import forms
from django.forms.renderers import TemplatesSetting

from breeding.program.forms import FieldRenderer

pytestmark = pytest.mark.one_database("how a list is written")

CHOICES = [
    ("", "---"),
    (1, "Mira & <b>"),
    ("Tanks", [("a'b", "Bay"), ("b", 'Pool "north"')]),
    (None, "nothing"),
]


@pytest.mark.parametrize("value", ["", 1, "b", "not there"])
@pytest.mark.parametrize("widget", [forms.Select, forms.SelectMultiple])
def test_a_list_is_written_as_by_the_template(widget, value):
    shown = widget(attrs={"class": "a b", "required": True, "disabled": False, "data-n": 7})
    shown.choices = CHOICES
    value = [value] if widget is forms.SelectMultiple else value
    own = shown.render("whom", value, renderer=FieldRenderer())
    assert own.split() == shown.render("whom", value, renderer=TemplatesSetting()).split()
    assert own.count("<option") == 5
