"""What was written just now: whether a form is spent, undoing it, putting its receipt away."""

from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import Resolver404, resolve
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from breeding.program import clock
from breeding.program.acts.once import act_once, key_in, say
from breeding.program.acts.undoing import said_of_undone
from breeding.program.acts.undoing import undo as undo_act
from breeding.program.frame.decorators import keepers_only, open_to_viewers
from breeding.program.frame.middleware import refuse_another_role
from breeding.program.frame.requests import PageRequest
from breeding.program.models import Act
from breeding.words.language import later, tell


@require_safe
@never_cache
def once(request: PageRequest, token: str) -> HttpResponse:
    """Whether the form with this token was sent before, and what it led to."""
    act = Act.objects.filter(key=key_in(token) or "-", person=request.user).first()
    if act is None:
        return JsonResponse({"spent": False})
    return JsonResponse({"spent": True, "said": str(act), "address": act.leads_to or act.door})


@keepers_only
@require_POST
def undo(request: PageRequest, pk: int) -> HttpResponse:
    """Put back all that an act has written; who wrote it and still may, or an owner."""
    act = get_object_or_404(Act, pk=pk)
    if act.person_id != request.user.pk and not request.user.is_owner:
        raise PermissionDenied(_only_who_wrote_it(act))
    _refuse_another_role(request, act.at_first)
    now = clock.now()
    try:
        rows = act_once(request, lambda: undo_act(act, by=request.user, now=now), undoes=act)
    except ValidationError as problem:
        return render(request, "program/undo.html", {"act": act, "problem": problem}, status=409)
    what = later(lambda: act.at_first.short_words)
    said = tell("Written again: {what}", what=what) if act.is_undoing else _undone(what)
    say(request, said, said_of_undone(rows, clock.today()))
    return redirect(_back(request, act))


def _undone(what: str) -> str:
    return tell("Undone: {what}", what=what)


def _refuse_another_role(request: PageRequest, act: Act) -> None:
    """Whoever may no longer open the door may not undo what went through it either."""
    try:
        view = resolve(act.door).func
    except Resolver404:  # a page of an earlier version
        return
    refuse_another_role(request.user, view)


def _only_who_wrote_it(act: Act) -> str:
    if act.person is None:
        return tell("Only an owner may undo what they wrote.")
    return tell("Only {person} may undo what they wrote.", person=act.person)


@open_to_viewers
@require_POST
def put_away(request: PageRequest, pk: int) -> HttpResponse:
    """Do not show the receipt any more; nothing else changes."""
    act = get_object_or_404(Act, pk=pk, person=request.user)
    Act.objects.filter(person=request.user, pk__lte=act.pk).update(is_put_away=True)
    return redirect(_back(request, act))


def _back(request: PageRequest, act: Act) -> str:
    """The page the button stood on, or the one where the act was written."""
    page = request.POST.get("back", "")
    is_ours = url_has_allowed_host_and_scheme(page, allowed_hosts={request.get_host()})
    return page if page.startswith("/") and is_ours else act.leads_to or "/"
