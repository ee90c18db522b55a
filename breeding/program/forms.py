"""Forms of the ground floor, and how every form field is drawn."""

from pathlib import Path
from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.forms.renderers import TemplatesSetting

from breeding.program.models import Person, Program


class FieldRenderer(TemplatesSetting):
    form_template_name = "program/_form.html"
    field_template_name = "program/_field.html"


class DayInput(forms.DateInput):
    """A date chosen with the device's own calendar."""

    input_type = "date"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="%Y-%m-%d", **kwargs)


class MomentInput(forms.DateTimeInput):
    input_type = "datetime-local"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(format="%Y-%m-%dT%H:%M", **kwargs)


class LengthField(forms.DecimalField):
    """A length typed in the program's unit and cleaned to whole millimetres."""

    MM = {"cm": 10.0, "in": 25.4}

    def __init__(self, *, unit: str = "cm", least_mm: int = 10, most_mm: int = 3000, **kwargs: Any):
        self.unit, self.least_mm, self.most_mm = unit, least_mm, most_mm
        super().__init__(max_digits=7, decimal_places=2, **kwargs)
        self.widget.attrs.update({"inputmode": "decimal", "step": "0.1"})

    def clean(self, value: Any) -> int | None:
        typed = super().clean(value)
        if typed is None:
            return None
        millimetres = round(float(typed) * self.MM[self.unit])
        if not self.least_mm <= millimetres <= self.most_mm:
            least, most = self.least_mm / self.MM[self.unit], self.most_mm / self.MM[self.unit]
            raise ValidationError(
                f"{typed} {self.unit} is not possible here; allowed is {least:g} to {most:g} "
                f"{self.unit}."
            )
        return millimetres

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, int):
            return f"{value / self.MM[self.unit]:.1f}"
        return value


def zone_choices() -> list[tuple[str, str]]:
    """Time zones by their names, places first."""
    names = sorted(available_timezones(), key=lambda name: ("/" not in name, name))
    return [(name, name.replace("_", " ")) for name in names if not name.startswith("Etc/")]


def machine_zone() -> str:
    """The time zone this computer is set to, as far as it says; else UTC."""
    named = str(Path("/etc/localtime").resolve()).partition("zoneinfo/")[2]
    return named if named in available_timezones() else "UTC"


class SetUpForm(forms.Form):
    """The first visit: name the program and make the owner's account."""

    program_name = forms.CharField(max_length=80, label="What is the program called?")
    time_zone = forms.ChoiceField(choices=lambda: zone_choices(), initial=lambda: machine_zone())
    called = forms.CharField(max_length=60, label="Your name, as others read it")
    username = forms.SlugField(max_length=60, label="Name to sign in with")
    password = forms.CharField(widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}))

    def clean_password(self) -> str:
        password = self.cleaned_data["password"]
        validate_password(password)
        return str(password)


class PersonForm(forms.Form):
    """A new person."""

    called = forms.CharField(max_length=60, label="Name, as others read it")
    username = forms.SlugField(max_length=60, label="Name to sign in with")
    role = forms.ChoiceField(choices=Person.Role.choices, initial=Person.Role.KEEPER)
    password = forms.CharField(widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}))

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
    is_active = forms.BooleanField(required=False, label="May sign in")


class ProgramForm(forms.ModelForm):
    time_zone = forms.ChoiceField(choices=lambda: zone_choices())

    class Meta:
        model = Program
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
            "emergency_number",
            "poison_number",
            "veterinarian",
        ]


class WithdrawForm(forms.Form):
    """Why a record is taken out of all reckoning."""

    reason = forms.CharField(max_length=200, label="Why is it withdrawn?")
