"""Forms of the ground floor, and how every form field is drawn."""

from typing import Any, ClassVar

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db.models import FloatField, QuerySet
from django.forms.renderers import TemplatesSetting
from django.utils.translation import gettext_lazy as _

from breeding.program.access.passwords import HOW_TO_CHOOSE
from breeding.program.frame.selects import SELECT, is_plain, select_of
from breeding.program.generics import ModelChoiceField, ModelForm
from breeding.program.language.forms import LanguageField
from breeding.program.models import Person, Program
from breeding.program.problems.words import SpeakingField
from breeding.program.typed.names import validate_name
from breeding.program.typed.numbers import TypedShare, typed_field
from breeding.program.typed.zones import ZoneField, machine_zone
from breeding.words.language import tell

SIGN_IN_NAME = _("Letters from a to z, digits, hyphens and underscores; no spaces.")
SEES_BUYERS = _("A viewer sees buyers, how to reach them and what they wish for")


class FieldRenderer(TemplatesSetting):
    form_template_name = "program/_form.html"
    field_template_name = "program/_field.html"
    bound_field_class = SpeakingField

    def render(self, template_name: str, context: Any, request: Any = None) -> Any:
        if template_name == SELECT and is_plain(context["widget"]):
            return select_of(context["widget"])
        return super().render(template_name, context, request)


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
        max_length=80, label=_("What is the program called?"), validators=[validate_name]
    )
    language = LanguageField()
    time_zone = ZoneField(initial=machine_zone)
    called = forms.CharField(
        max_length=60, label=_("Your name, as others read it"), validators=[validate_name]
    )
    username = forms.SlugField(
        max_length=60, label=_("Name to sign in with"), help_text=SIGN_IN_NAME
    )
    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}), help_text=HOW_TO_CHOOSE
    )

    def clean_password(self) -> str:
        password = self.cleaned_data["password"]
        validate_password(password)
        return str(password)


class PersonForm(forms.Form):
    """A new person."""

    called = forms.CharField(max_length=60, label=_("Name, as others read it"))
    username = forms.SlugField(
        max_length=60, label=_("Name to sign in with"), help_text=SIGN_IN_NAME
    )
    role = forms.ChoiceField(choices=Person.Role.choices, initial=Person.Role.KEEPER)
    sees_buyers = forms.BooleanField(required=False, label=SEES_BUYERS)
    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}), help_text=HOW_TO_CHOOSE
    )

    def clean_username(self) -> str:
        username = str(self.cleaned_data["username"])
        if Person.objects.filter(username__iexact=username).exists():
            raise ValidationError(
                tell("“{name}” is taken; choose another name to sign in with.", name=username)
            )
        return username

    def clean_password(self) -> str:
        password = self.cleaned_data["password"]
        validate_password(password)
        return str(password)


class PersonChangeForm(forms.Form):
    called = forms.CharField(max_length=60, label=_("Name, as others read it"))
    role = forms.ChoiceField(choices=Person.Role.choices)
    sees_buyers = forms.BooleanField(required=False, label=SEES_BUYERS)
    is_active = forms.BooleanField(required=False, label=_("May sign in"))


def _in_percent(column: Any, **kwargs: Any) -> Any:
    """The form field of a setting: shares are typed in percent."""
    if isinstance(column, FloatField):
        kwargs["form_class"] = TypedShare
    return typed_field(column, **kwargs)


class ProgramForm(ModelForm):
    language = LanguageField(
        help_text=_("For those who chose no language and whose browser asks for none that is here.")
    )
    time_zone = ZoneField()

    class Meta:
        model = Program
        formfield_callback = _in_percent
        fields = [
            "name",
            "code_prefix",
            "language",
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
            "address",
            "telephone",
            "emergency_number",
            "poison_number",
            "veterinarian",
        ]
        widgets: ClassVar = {"address": forms.Textarea(attrs={"rows": 3})}
        labels: ClassVar = {
            "inbreeding_caution": _("Inbreeding: warn from"),
            "inbreeding_needs_reason": _("Inbreeding: ask for a reason from"),
            "planning_chance": _("Chance from which the day plans"),
            "bred_chance": _("Chance from which she counts as pregnant"),
            "overdue_lateness": _("Chance from which she is overdue"),
            "separation_lead_days": _("Separation, days before"),
            "nursery_lead_days": _("Nursery, days before"),
            "separate_at_severity": _("Separate from this severity on"),
            "weight_loss_caution": _("Weight lost: warn from"),
            "nursery_test_days": _("Water test in a nursery or quarantine, days"),
            "water_test_days": _("Water test elsewhere, days"),
        }


class JoinForm(forms.Form):
    """Which other record of its kind something is joined to."""

    def __init__(self, *args: Any, others: QuerySet[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["into"] = ModelChoiceField(
            queryset=others, label=_("Join it to"), empty_label=_("choose")
        )


class WithdrawForm(forms.Form):
    """Why a record is taken out of all reckoning."""

    reason = forms.CharField(max_length=200, label=_("Why is it withdrawn?"))
