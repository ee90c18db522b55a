"""One's own calendar address and digest."""

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from breeding.agenda import services
from breeding.agenda.forms import DigestForm
from breeding.agenda.models import DigestChoice, Feed, Mailing
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import open_to_viewers
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import pressed, written
from breeding.words.language import tell


@never_cache
@open_to_viewers
@require_http_methods(["GET", "HEAD", "POST"])
def reminders(request: PageRequest) -> HttpResponse:
    """One's own calendar address and digest."""
    choice = DigestChoice.objects.filter(person=request.user).first()
    sent = request.POST if request.method == "POST" else None
    form = DigestForm(sent, initial=DigestForm.as_chosen(request.user, choice))
    if kept := written(request, form, lambda: _keep_digest(request, form)):
        if kept.is_on:
            said = tell("Your digest is set. It comes from {hour}:00 on.", hour=kept.hour)
        else:
            said = tell("Your digest is switched off. None is sent.")
        say(request, said)
        return redirect("agenda:reminders")
    status = 200 if sent is None else 422
    return render(request, "agenda/reminders.html", _reminders(request, form), status=status)


def _keep_digest(request: PageRequest, form: DigestForm) -> DigestChoice:
    facts = form.cleaned_data
    return services.choose_digest(
        request.user,
        is_on=facts["is_on"],
        email=facts["email"],
        hour=facts["hour"],
        left_out=form.left_out,
        server_address=request.build_absolute_uri("/"),
        now=clock.now(),
    )


def _reminders(request: PageRequest, form: DigestForm) -> dict[str, object]:
    own = Feed.objects.filter(person=request.user).first()
    token = services.token_of(own)
    address = request.build_absolute_uri(reverse("agenda:feed", args=[token])) if token else ""
    return {
        "form": form,
        "feed": own,
        "address": address,
        "subscribe": f"webcal://{address.partition('://')[2]}" if address else "",
        "mail": settings.MAIL,
        "mailings": Mailing.objects.filter(person=request.user)[:5],
    }


@open_to_viewers
@require_POST
def feed_address(request: PageRequest) -> HttpResponse:
    """Make, renew or close one's own calendar address."""
    if said := pressed(request, lambda: _change_feed(request)):
        say(request, said)
    return redirect("agenda:reminders")


def _change_feed(request: PageRequest) -> str:
    if "close" in request.POST:
        services.close_feed(request.user, now=clock.now())
        return tell("The calendar address is closed; it no longer answers anybody.")
    if "renew" in request.POST:
        services.open_feed(request.user, now=clock.now())
        return tell("The calendar address is new. The earlier one no longer works.")
    if services.token_of(Feed.objects.filter(person=request.user).first()):
        return ""  # pressed once more on an old page: the address a phone already has goes on
    services.open_feed(request.user, now=clock.now())
    return tell("The calendar address is made.")


@open_to_viewers
@require_POST
def send_again(request: PageRequest, pk: int) -> HttpResponse:
    """Send one's own digest of which nobody knows whether it left."""
    mailing = get_object_or_404(Mailing, pk=pk, person=request.user)
    if pressed(request, lambda: (services.send_again(mailing, now=clock.now()),)):
        say(request, tell("It is sent within a few minutes."))
    return redirect("agenda:reminders")
