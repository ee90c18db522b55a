"""What happens to a form that comes at a bad moment: signed out, looked over, disk full, busy."""

import errno
from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode, urlsplit

from django.contrib import messages
from django.db import OperationalError, transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

from breeding.program import clock
from breeding.program.acts.once import FIELD
from breeding.program.kept import store
from breeding.program.kept.device import is_by_script
from breeding.program.problems.beside import LOOK_OVER, UNTRIED
from breeding.program.problems.busy import causes, is_busy
from breeding.program.views.trouble import NOT_SAVED, NotSaved, not_saved
from breeding.words.language import tell

Answer = Callable[[HttpRequest], HttpResponse]
View = Callable[..., HttpResponse]


class SignedOutMiddleware:
    """What strangers send is kept, before they are shown the sign-in page."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: View, *_: Any) -> HttpResponse | None:
        is_sent_here = request.method == "POST" and getattr(view, "login_required", True)
        if request.user.is_authenticated or not is_sent_here:
            return None
        return keep_and_sign_in(request)


class KeptFormMiddleware:
    """The last of all, when it is sure that this person may send this form here."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        kept = store.kept_of(request) if request.method == "POST" else None
        if kept is None:
            return self.get_response(request)
        request.kept = kept  # type: ignore[attr-defined]
        with clock.as_of(kept.kept_at):
            response = self.get_response(request)
        if response.has_header("Location") and LOOK_OVER not in request.POST:
            store.put_away(kept)
        return response

    def process_view(
        self, request: HttpRequest, view: View, args: Any, kwargs: Any
    ) -> HttpResponse | None:
        if request.method != "POST":
            return None
        if kept := getattr(request, "kept", None):
            store.attach_files(request, kept)
            request.token = request.POST[FIELD]  # type: ignore[attr-defined]
        if LOOK_OVER not in request.POST or getattr(view, "never_looked_over", False):
            return None
        return look_over(request, view, args, kwargs)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        why = why_not_saved(error) if request.method == "POST" else None
        return give_back(request, why) if why else None


def keep_and_sign_in(request: HttpRequest) -> HttpResponse:
    """Keep what came, and ask who it is; where nothing can be kept, back to where they were."""
    kept = None if is_by_script(request) else store.keep(request, now=clock.now())
    to = reverse("program:kept") if kept else page_before(request)
    return redirect(f"{reverse('program:sign_in')}?{urlencode({'next': to})}")


def page_before(request: HttpRequest) -> str:
    """The page of this program that a form was sent from."""
    page = request.headers.get("Referer", "")
    if not url_has_allowed_host_and_scheme(page, allowed_hosts={request.get_host()}):
        return "/"
    parts = urlsplit(page)
    return f"{parts.path}?{parts.query}" if parts.query else parts.path or "/"


def look_over(request: HttpRequest, view: View, args: Any, kwargs: Any) -> HttpResponse:
    """The form as it was typed, with what stands against it; whatever the view does, none is kept.

    A view that would have written it all the same has nothing to show: then it is in order.
    """
    messages.info(request, tell("This is what you typed. Nothing of it is written yet."))
    with transaction.atomic():
        response = view(request, *args, **kwargs)
        transaction.set_rollback(True)
    request.act = None  # type: ignore[attr-defined]
    if not response.has_header("Location"):
        return response
    messages.info(request, tell("It is right as it stands."))
    return redirect("program:kept")


def why_not_saved(error: BaseException) -> NotSaved | None:
    """What passes and is nobody's fault; None for a fault of ours."""
    if _is_full(error):
        return NOT_SAVED["full"]
    return NOT_SAVED["busy"] if is_busy(error) else None


def give_back(request: HttpRequest, why: NotSaved) -> HttpResponse:
    """The same page with all that was typed, if it can be shown without writing; else the words."""
    messages.error(request, tell("{why} What you typed still stands here.", why=tell(why.words)))
    sent = request.POST.copy()
    sent[LOOK_OVER] = UNTRIED
    request.POST = sent  # type: ignore[assignment]
    for _, files in request.FILES.lists():
        for one in files:
            one.seek(0)
    try:
        with transaction.atomic():
            response = _answer(request)
            transaction.set_rollback(True)
    except Exception as error:
        if why_not_saved(error) is None:
            raise
        response = None
    if response is None or response.has_header("Location"):
        return not_saved(request, why)
    response.status_code = why.status
    return response


def _answer(request: HttpRequest) -> HttpResponse | None:
    match = request.resolver_match
    answer: HttpResponse | None = (
        match.func(request, *match.args, **match.kwargs) if match else None
    )
    return answer


def _is_full(error: BaseException) -> bool:
    for one in causes(error):
        if isinstance(one, OSError) and one.errno in (errno.ENOSPC, errno.EDQUOT):
            return True
        words = str(one)
        if isinstance(one, OperationalError) and (
            "database or disk is full" in words or "No space left on device" in words
        ):
            return True
    return False
