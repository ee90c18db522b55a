"""Forms of the ground floor, and how every form field is drawn."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.forms.renderers import TemplatesSetting

from breeding.program.access.passwords import HOW_TO_CHOOSE
from breeding.program.generics import ModelChoiceField, ModelForm
from breeding.program.models import Person, Program
from breeding.program.problems.words import SpeakingField
from breeding.program.typed.names import validate_name
from breeding.program.typed.numbers import typed_field
from breeding.program.zones import ZoneField, machine_zone

SEES_BUYERS = "A viewer sees buyers, how they are reached and what they wish for"


class FieldRenderer(TemplatesSetting):
    form_template_name = "program/_form.html"
    field_template_name = "program/_field.html"
    bound_field_class = SpeakingField


class DayInput(forms.DateInput):
    """A date chosen with the device's own calendar."""

    input_type = "date"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="%Y-%m-%d", **kwargs)


class MomentInput(forms.DateTimeInput):
    input_type = "datetime-local"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="%Y-%m-%dT%H:%M", **kwargs)


class SetUpForm(forms.Form):
    """The first visit: name the program and make the owner's account."""

    program_name = forms.CharField(
        max_length=80, label="What is the program called?", validators=[validate_name]
    )
    time_zone = ZoneField(initial=machine_zone)
    called = forms.CharField(
        max_length=60, label="Your name, as others read it", validators=[validate_name]
    )
    username = forms.SlugField(max_length=60, label="Name to sign in with")
    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}), help_text=HOW_TO_CHOOSE
    )

    def clean_password(self) -> str:
        password = self.cleaned_data["password"]
        validate_password(password)
        return str(password)


class PersonForm(forms.Form):
    """A new person."""

    called = forms.CharField(max_length=60, label="Name, as others read it")
    username = forms.SlugField(max_length=60, label="Name to sign in with")
    role = forms.ChoiceField(choices=Person.Role.choices, initial=Person.Role.KEEPER)
    sees_buyers = forms.BooleanField(required=False, label=SEES_BUYERS)
    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}), help_text=HOW_TO_CHOOSE
    )

    def clean_username(self) -> str:
        username = str(self.cleaned_data["username"])
        if Person.objects.filter(username__iexact=username).exists():
            raise ValidationError(f"“{username}” is taken; choose another name to sign in with.")
        return username

    def clean_password(self) -> str:
        password = self.cleaned_data["password"]
        validate_password(password)
        return str(password)


class PersonChangeForm(forms.Form):
    called = forms.CharField(max_length=60, label="Name, as others read it")
    role = forms.ChoiceField(choices=Person.Role.choices)
    sees_buyers = forms.BooleanField(required=False, label=SEES_BUYERS)
    is_active = forms.BooleanField(required=False, label="May sign in")


class ProgramForm(ModelForm):
    time_zone = ZoneField()

    class Meta:
        model = Program
        formfield_callback = typed_field
        fields = [
            "name",
            "code_prefix",
            "time_zone",
            "length_unit",
            "weight_unit",
            "temperature_unit",
            "volume_unit",
            "inbreeding_caution",
            "inbreeding_needs_reason",
            "planning_chance",
            "bred_chance",
            "overdue_lateness",
            "separation_lead_days",
            "nursery_lead_days",
            "separate_at_severity",
            "weight_loss_caution",
            "rest_days",
            "nursery_test_days",
            "water_test_days",
            "emergency_number",
            "poison_number",
            "veterinarian",
        ]


class JoinForm(forms.Form):
    """Which other record of its kind something is joined to."""

    def __init__(self, *args: Any, others: QuerySet[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["into"] = ModelChoiceField(
            queryset=others, label="Join it to", empty_label="choose"
        )


class WithdrawForm(forms.Form):
    """Why a record is taken out of all reckoning."""

    reason = forms.CharField(max_length=200, label="Why is it withdrawn?")
