"""Two-step sign-in: switched on with an app, switched off with the password."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from breeding.program import clock
from breeding.program.access import two_step as steps
from breeding.program.access.forms import CodeForm, OwnPasswordForm
from breeding.program.acts.once import say
from breeding.program.frame.decorators import never_looked_over, open_to_viewers
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.views.sign_in import busy_when
from breeding.words.language import tell

KEY = "two_step_key"  # in the session, until a code of it is typed


@open_to_viewers
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def two_step(request: PageRequest) -> HttpResponse:
    """Switch it on: scan the square, type the code, keep the recovery codes."""
    if steps.is_on(request.user):
        return redirect("program:account")
    key = request.session.setdefault(KEY, steps.new_key())
    form = CodeForm(request.POST if request.method == "POST" else None)
    codes = written(
        request,
        form,
        lambda: steps.switch_on(
            request.user, key, form.cleaned_data["code"], now=clock.arrived_at()
        ),
    )
    if codes:
        del request.session[KEY]
        say(request, tell("Two-step sign-in is on."))
        return render(request, "program/two_step_codes.html", {"codes": codes, "is_new": True})
    address = steps.address_for_app(key, person=request.user, program_name=request.program.name)
    context = {"form": form, "key": steps.key_in_text(key), "dots": steps.dots(address)}
    return render(request, "program/two_step.html", context | {"address": address})


@never_looked_over
@open_to_viewers
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def two_step_codes(request: PageRequest) -> HttpResponse:
    """New recovery codes; the earlier ones work no more."""
    if not steps.is_on(request.user):
        return redirect("program:account")
    sent = request.POST if request.method == "POST" else None
    form = OwnPasswordForm(sent, request=request, person=request.user)
    codes = written(request, form, lambda: steps.new_recovery_codes(request.user))
    if codes:
        say(request, tell("The recovery codes are new; the earlier ones no longer work."))
    context = {"form": form, "codes": codes}
    return busy_when(form, render(request, "program/two_step_codes.html", context))


@never_looked_over
@open_to_viewers
@require_http_methods(["GET", "HEAD", "POST"])
def two_step_off(request: PageRequest) -> HttpResponse:
    """The password alone signs in again."""
    if not steps.is_on(request.user):
        return redirect("program:account")
    sent = request.POST if request.method == "POST" else None
    form = OwnPasswordForm(sent, request=request, person=request.user)
    if written(request, form, lambda: (steps.switch_off(request.user),)):
        say(request, tell("Two-step sign-in is off."))
        return redirect("program:account")
    return busy_when(form, render(request, "program/two_step_off.html", {"form": form}))
