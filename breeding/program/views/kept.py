"""What somebody had typed and was not written: save it, look it over, or put it away."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from breeding.program import clock
from breeding.program.acts.once import token_of
from breeding.program.frame.decorators import open_to_viewers
from breeding.program.frame.requests import PageRequest
from breeding.program.kept import store
from breeding.program.kept.words import lines_of, title_of
from breeding.program.models import KeptForm
from breeding.words.language import tell


@require_safe
@never_cache
def kept(request: PageRequest) -> HttpResponse:
    """What was typed and not written, in words."""
    rows = [
        {"kept": one, "title": title_of(one), "lines": lines_of(one), "token": token_of(one.key)}
        for one in store.kept_for(request.user, now=clock.now())
    ]
    return render(request, "program/kept.html", {"rows": rows})


@open_to_viewers
@require_POST
def kept_away(request: PageRequest, pk: int) -> HttpResponse:
    """Nobody wants it any more."""
    store.put_away(get_object_or_404(KeptForm, pk=pk, person=request.user))
    messages.info(request, tell("It is put away; nothing of it was written."))
    return redirect("program:kept")
