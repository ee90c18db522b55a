"""Forms of who gets in; passwords are tried while they are cleaned, before anything is written."""

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.hashers import make_password
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from breeding.program.access.passwords import HOW_TO_CHOOSE, refuse_a_wrong_password
from breeding.program.access.slowing import wait_words
from breeding.program.models import Person
from breeding.words.language import message, tell

PRESENT = {"autocomplete": "current-password"}
NEW = {"autocomplete": "new-password"}


NOT_TOGETHER = message(
    "This name and this password do not belong together. Capitals and small letters count in both."
)


class SignInForm(AuthenticationForm):
    """Name and password; whoever has tried too often is told how long to wait."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["username"].label = _("Name to sign in with")

    def get_invalid_login_error(self) -> ValidationError:
        words = self.request and wait_words(self.request)
        return ValidationError(words or tell(NOT_TOGETHER))


class NewPasswordForm(forms.Form):
    """A new password, reckoned here: the transaction that keeps it is over in a moment."""

    new_password = forms.CharField(
        max_length=256,
        widget=forms.PasswordInput(attrs=NEW),
        label=_("New password"),
        help_text=HOW_TO_CHOOSE,
    )

    def __init__(self, *args: Any, person: Person | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        self.person = person

    def clean_new_password(self) -> str:
        password = str(self.cleaned_data["new_password"])
        validate_password(password, self.person)
        return password

    def clean(self) -> dict[str, Any]:
        facts = super().clean() or {}
        if not self.errors:
            facts["hashed"] = make_password(facts["new_password"])
        return facts


class OwnPasswordForm(forms.Form):
    """The password of now, before something about signing in is changed."""

    present_password = forms.CharField(
        max_length=256, widget=forms.PasswordInput(attrs=PRESENT), label=_("Your present password")
    )

    def __init__(self, *args: Any, request: HttpRequest, person: Person, **more: Any) -> None:
        super().__init__(*args, **more)
        self.request, self.person = request, person

    def clean(self) -> dict[str, Any]:
        facts = super().clean() or {}
        if not self.errors:
            typed = facts["present_password"]
            refuse_a_wrong_password(self.request, self.person, typed, "present_password")
        return facts


class PasswordForm(OwnPasswordForm):
    """One's own password, changed by who knows the one of now."""

    new_password = forms.CharField(
        max_length=256,
        widget=forms.PasswordInput(attrs=NEW),
        label=_("New password"),
        help_text=HOW_TO_CHOOSE,
    )

    def clean_new_password(self) -> str:
        password = str(self.cleaned_data["new_password"])
        validate_password(password, self.person)
        return password

    def clean(self) -> dict[str, Any]:
        facts = super().clean()
        if not self.errors and facts["new_password"] == facts["present_password"]:
            raise ValidationError({"new_password": tell("That is your present password already.")})
        if not self.errors:
            facts["hashed"] = make_password(facts["new_password"])
        return facts


class CodeForm(forms.Form):
    """A code of the app, or a recovery code."""

    code = forms.CharField(
        max_length=20,
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "spellcheck": "false"}),
        label=_("Code"),
    )
