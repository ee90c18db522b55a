"""What forms say of values they cannot take: the field, the value, and what is allowed."""

import datetime

import pytest
from django import forms
from django.apps import apps
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.validators import RegexValidator
from django.urls import reverse

from breeding.program.forms import ProgramForm
from breeding.program.models import Person
from breeding.program.typed.measures import LengthField
from tests import cast

pytestmark = pytest.mark.one_database("a form cleans what was typed before any query")


class Form(forms.Form):
    """One field of each kind there is in the program."""

    name = forms.CharField(max_length=5, min_length=2)
    born_on = forms.DateField()
    seen_at = forms.DateTimeField(label="Seen at")
    pups = forms.IntegerField(min_value=0, max_value=60)
    weight = forms.DecimalField(label="Weight in grams", max_digits=6, decimal_places=1)
    share = forms.FloatField(min_value=0.5)
    width = LengthField(unit="in", label="Disc width in in")
    sex = forms.ChoiceField(choices=[("", "-"), ("F", "female"), ("M", "male")])
    kinds = forms.MultipleChoiceField(choices=[(str(one), str(one)) for one in range(20)])
    person = forms.ModelChoiceField(queryset=Person.objects.none())
    mail = forms.EmailField(label="E-mail")
    code = forms.SlugField()
    picture = forms.ImageField()
    read = forms.BooleanField(label="I have read it")
    password = forms.CharField(min_length=9, widget=forms.PasswordInput())
    called = forms.CharField(error_messages={"required": "Say what it is called."})

    def clean_called(self):
        if self.cleaned_data["called"] == "%s <b>":
            raise ValidationError("“%s <b>” is no name.")
        return self.cleaned_data["called"]


def said(name, typed, **files):
    """What the page says of one field."""
    bound = Form({} if typed is None else {name: typed}, files)[name]
    (words,) = bound.errors
    return words


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("name", None, "“Name” is empty; needed is text of up to 5 characters."),
        ("name", "Mirabel", "“Name” has 7 characters; allowed are at most 5 characters."),
        ("name", "M", "“Name” has 1 characters; allowed are at least 2 characters."),
        ("name", "Mi\0", "“Name” holds a character that cannot be read (a null); type it again."),
        ("born_on", "", "“Born on” is empty; needed is a day, written like 2026-03-31."),
        (
            "born_on",
            "31.2.2026",
            "“31.2.2026” is not possible for “Born on”; allowed is a day, written like 2026-03-31.",
        ),
        (
            "seen_at",
            "noon",
            "“noon” is not possible for “Seen at”; allowed is a day and time, written like "
            "2026-03-31 14:30.",
        ),
        ("pups", "x", "“x” is not possible for “Pups”; allowed is a whole number from 0 to 60."),
        ("pups", "61", "“61” is not possible for “Pups”; allowed is a whole number from 0 to 60."),
        ("pups", "", "“Pups” is empty; needed is a whole number from 0 to 60."),
        (
            "weight",
            "1.25",
            "“1.25” is not possible for “Weight in grams”; allowed is a number, with at most 1 "
            "digits after the point and 5 before it.",
        ),
        ("weight", "x", "“x” is not possible for “Weight in grams”; allowed is a number."),
        ("share", "nan", "“nan” is not possible for “Share”; allowed is a number from 0.5 on."),
        ("width", "x", "“x” is not possible for “Disc width in in”; allowed is 0.4 to 118.1 in."),
        ("sex", "x", "“x” is not possible for “Sex”; allowed is one of “female”, “male”."),
        ("sex", None, "“Sex” is empty; needed is one of “female”, “male”."),
        ("kinds", ["1", "77"], "“77” is not possible for “Kinds”; allowed is one from the list."),
        (
            "mail",
            "jo",
            "“jo” is not possible for “E-mail”; allowed is an address like jo@example.org.",
        ),
        (
            "code",
            "a b",
            "“a b” is not possible for “Code”; allowed is a word of letters, digits, hyphens and "
            "underscores.",
        ),
        ("read", None, "“I have read it” must be ticked."),
        ("called", None, "Say what it is called."),
        ("called", "%s <b>", "“%s <b>” is no name."),
        ("picture", None, "“Picture” is empty; needed is a picture that can be opened."),
        (
            "code",
            "x " * 60,
            f"“{('x ' * 30)}…” is not possible for “Code”; allowed is a word of letters, digits, "
            "hyphens and underscores.",
        ),
    ],
)
def test_an_error_names_the_field_the_value_and_what_is_allowed(name, typed, words):
    assert said(name, typed) == words


CHIP = RegexValidator(r"^[0-9]{15}\Z", "A chip number has 15 digits.")


class ChipForm(forms.Form):
    """Rules of our own beside fields that have words for what is wrong, and one that has none."""

    chip = forms.CharField(max_length=15, validators=[CHIP])
    counted = forms.IntegerField(validators=[CHIP])
    mail = forms.EmailField(validators=[RegexValidator("@example", "Write to example.org.")])
    tag = forms.CharField(required=False, validators=[CHIP])
    tag.allowed = "the 15 digits on the reader"


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("chip", "12 34", "A chip number has 15 digits."),
        ("chip", "", "“Chip” is empty; needed is text of up to 15 characters."),
        ("chip", "1" * 16, "A chip number has 15 digits."),
        ("counted", "1234", "A chip number has 15 digits."),
        ("counted", "abc", "“abc” is not possible for “Counted”; allowed is a whole number."),
        ("mail", "jo@else.org", "Write to example.org."),
        ("tag", "7", "“7” is not possible for “Tag”; allowed is the 15 digits on the reader."),
        (
            "mail",
            "jo",
            "“jo” is not possible for “Mail”; allowed is an address like jo@example.org.",
        ),
    ],
)
def test_the_words_of_a_rule_of_our_own_are_said_as_written(name, typed, words):
    assert words in ChipForm({name: typed})[name].errors


def test_the_words_of_a_rule_behind_a_form_are_said_as_written(owner):
    form = ProgramForm({"time_zone": "Lantern"}, instance=cast.the_program())
    assert form["time_zone"].errors[0].startswith("“Lantern” is not a time zone")


def test_a_password_is_never_quoted():
    assert (
        said("password", "secret")
        == "“Password” has 6 characters; allowed are at least 9 characters."
    )


def test_a_file_is_named():
    empty = SimpleUploadedFile("mira.jpg", b"")
    assert said("picture", "", picture=empty) == (
        "“mira.jpg” is an empty file; choose another for “Picture”."
    )
    text = SimpleUploadedFile("mira.jpg", b"no picture")
    assert said("picture", "", picture=text) == (
        "“mira.jpg” is not possible for “Picture”; allowed is a picture that can be opened."
    )


@pytest.mark.django_db
def test_one_of_many_rows_is_asked_for_from_the_list():
    assert said("person", "7") == "“7” is not possible for “Person”; allowed is one from the list."


def test_a_field_that_is_in_order_says_nothing():
    bound = Form({"name": "Mira"})["name"]
    assert list(bound.errors) == []


def test_the_limits_of_the_model_behind_a_form_are_told(owner):
    form = ProgramForm({"inbreeding_caution": "200"}, instance=cast.the_program())
    (words,) = form["inbreeding_caution"].errors
    assert words == (
        "“200” is not possible for “Inbreeding: warn from”; allowed is a number from 0 to 100."
    )


def test_an_error_is_tied_to_its_field_for_those_who_hear_the_page(as_keeper):
    page = as_keeper.post(reverse("housing:new"), {"name": ""}).content.decode()
    assert '<ul class="errorlist" id="id_name_error"><li>“Name” is empty' in page
    assert 'aria-describedby="id_name_error"' in page


def test_no_form_of_the_program_says_it_in_other_words(owner):
    """Every form is drawn by the renderer that gives its fields their words."""
    for room in apps.get_app_configs():
        if not room.name.startswith("breeding."):
            continue
        for form in _forms_of(room.name):
            assert form.default_renderer is None, form
            assert form.bound_field_class is None, form


def _forms_of(room):
    return [
        one
        for one in _below(forms.BaseForm)
        if one.__module__.startswith(f"{room}.") and one.__module__ != __name__
    ]


def _below(kind):
    for one in kind.__subclasses__():
        yield one
        yield from _below(one)


def test_a_day_typed_in_order_is_taken():
    """The example that errors give is itself allowed."""
    form = Form({"born_on": "2026-03-31", "seen_at": "2026-03-31 14:30"})
    form.is_valid()
    assert form.cleaned_data["born_on"] == datetime.date(2026, 3, 31)
    assert "seen_at" in form.cleaned_data


def test_nothing_that_is_too_long_is_cut_by_the_browser_without_a_word(as_keeper):
    address = reverse("housing:new")
    assert "maxlength" not in as_keeper.get(address).content.decode().partition("<main")[2]
    long = "The pond in the cellar behind the boiler, on the left as you come down the stairs"
    page = as_keeper.post(address, {"name": long, "kind": "breeding"})
    assert "“Name” has 81 characters; allowed are at most 60 characters." in cast.words(page)
    assert f'value="{long}"' in page.content.decode()
