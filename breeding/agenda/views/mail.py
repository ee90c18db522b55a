"""Whether mail goes out, and what became of it; for owners."""

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from breeding.agenda.models import DigestChoice, Mailing
from breeding.agenda.sent import outbox
from breeding.program.acts.once import act_once, say
from breeding.program.frame.decorators import owners_only
from breeding.program.frame.requests import PageRequest
from breeding.words.language import tell


@owners_only
@require_http_methods(["GET", "HEAD", "POST"])
def mail(request: PageRequest) -> HttpResponse:
    """Whether mail is set up, what became of the last digests; a test mail."""
    if request.method == "POST":
        if not request.user.email:
            trouble = tell("Write your e-mail address under Reminders first.")
        else:
            trouble = act_once(
                request, lambda: outbox.send_test_mail(request.user, request.program)
            )
        if trouble:
            messages.error(request, tell("The test mail did not leave. {trouble}", trouble=trouble))
        else:
            say(
                request,
                tell("The mail server has taken a mail to {email}.", email=request.user.email),
            )
        return redirect("agenda:mail")
    context = {
        "mail": settings.MAIL,
        "problem": settings.MAIL_PROBLEM,
        "mailings": Mailing.objects.select_related("person")[:20],
        "choices": DigestChoice.objects.filter(is_on=True).select_related("person"),
    }
    return render(request, "agenda/mail.html", context)
