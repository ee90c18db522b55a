"""One's own account: the password, and where one is signed in."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from breeding.program import clock
from breeding.program.access import sessions, two_step
from breeding.program.access.forms import PasswordForm
from breeding.program.access.models import SignedIn
from breeding.program.access.passwords import keep_password
from breeding.program.acts.once import say
from breeding.program.frame.decorators import never_looked_over, open_to_viewers
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import pressed, written
from breeding.program.views.sign_in import busy_when
from breeding.words.language import tell, tell_many


@require_safe
@never_cache
def account(request: PageRequest) -> HttpResponse:
    """How one signs in, and where one is signed in now."""
    signed_in = sessions.where_signed_in(request.user, now=clock.now())
    return render(
        request,
        "program/account.html",
        {
            "signed_in": signed_in,
            "this_key": request.session.session_key,
            "codes_left": two_step.codes_left(request.user),
        },
    )


@never_looked_over
@open_to_viewers
@require_http_methods(["GET", "HEAD", "POST"])
def password(request: PageRequest) -> HttpResponse:
    """Change one's own password; every other session ends."""
    sent = request.POST if request.method == "POST" else None
    form = PasswordForm(sent, request=request, person=request.user)
    key = request.session.session_key
    ended = written(
        request,
        form,
        lambda: (keep_password(request.user, form.cleaned_data["hashed"], keep=key),),
    )
    if ended is None:
        return busy_when(form, render(request, "program/password.html", {"form": form}))
    sessions.keep_this_one(request, request.user)
    say(request, tell("Your password is changed."), _ended_words(ended[0]))
    return redirect("program:account")


@open_to_viewers
@require_POST
def end_session(request: PageRequest, pk: int) -> HttpResponse:
    """Sign out on one other device."""
    others = SignedIn.objects.exclude(session_key=request.session.session_key)
    ending = get_object_or_404(others, pk=pk, person=request.user)
    if pressed(request, lambda: (sessions.end_one(ending),)):
        say(request, tell("You are signed out on {device}.", device=ending.device_words))
    return redirect("program:account")


@open_to_viewers
@require_POST
def end_sessions(request: PageRequest) -> HttpResponse:
    """Sign out everywhere but here."""
    key = request.session.session_key
    if ended := pressed(request, lambda: (sessions.end_all(request.user, but=key),)):
        say(request, _ended_words(ended[0]))
    return redirect("program:account")


def _ended_words(ended: int) -> str:
    if not ended:
        return tell("You were signed in nowhere else.")
    return tell_many(
        "You are signed out on {number} other device.",
        "You are signed out on {number} other devices.",
        ended,
    )
