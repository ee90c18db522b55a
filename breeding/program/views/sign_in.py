"""Signing in: name and password, then the code of the second step where it is switched on."""

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView
from django.core.exceptions import NON_FIELD_ERRORS
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from breeding.program import clock
from breeding.program.access import two_step
from breeding.program.access.forms import CodeForm, SignInForm
from breeding.program.access.hashing import BUSY, TRY_AGAIN_SECONDS
from breeding.program.access.sign_in import after_first_step, after_second_step, who_waits
from breeding.program.access.slowing import how_long
from breeding.program.frame.decorators import never_looked_over
from breeding.program.kept import store
from breeding.program.models import Person
from breeding.words.language import tell


class SignIn(LoginView):
    """To where one was; first to what was typed and not written, if there is any."""

    template_name = "program/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def get_success_url(self) -> str:
        person = self.request.user
        if isinstance(person, Person) and store.kept_for(person, now=clock.now()).exists():
            return reverse("program:kept")
        return str(super().get_success_url())

    def form_valid(self, form: SignInForm) -> HttpResponse:  # type: ignore[override]
        return redirect(after_first_step(self.request, form.get_user(), self.get_redirect_url()))

    def form_invalid(self, form: SignInForm) -> HttpResponse:  # type: ignore[override]
        return busy_when(form, super().form_invalid(form))


def busy_when(form: Form, response: HttpResponse) -> HttpResponse:
    """The same page as 503, when too many are signing in and this one was not looked at."""
    if form.has_error(NON_FIELD_ERRORS, BUSY):
        response.status_code = 503
        response.headers["Retry-After"] = str(TRY_AGAIN_SECONDS)
    return response


@login_not_required
@never_cache
@never_looked_over
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in_code(request: HttpRequest) -> HttpResponse:
    """The second step; nobody is signed in before it."""
    person = who_waits(request)
    if person is None:
        messages.info(request, tell("Sign in with your name and password first."))
        return redirect("program:sign_in")
    form = CodeForm(request.POST if request.method == "POST" else None)
    if not form.is_valid():
        return render(request, "program/sign_in_code.html", {"form": form})
    if wait := two_step.wait_left(person, now=clock.arrived_at()):
        form.add_error(
            "code",
            tell("Too many wrong codes: wait {wait} before the next try.", wait=how_long(wait)),
        )
        response = render(request, "program/sign_in_code.html", {"form": form}, status=429)
        response.headers["Retry-After"] = str(int(wait.total_seconds()) + 1)
        return response
    if two_step.takes(person, form.cleaned_data["code"]):
        return redirect(after_second_step(request, person))
    form.add_error("code", tell("That code is not right, or was used before."))
    return render(request, "program/sign_in_code.html", {"form": form})
