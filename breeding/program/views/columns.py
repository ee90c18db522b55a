"""Which columns of a list somebody wants to see."""

from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from breeding.program import services
from breeding.program.frame.decorators import open_to_viewers
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import LISTS
from breeding.words.language import tell


@open_to_viewers
@require_POST
def columns(request: PageRequest, list_key: str) -> HttpResponse:
    """Keep the ticked columns for this person, or go back to those shown at first."""
    if list_key not in LISTS:
        raise Http404(tell("There is no list “{list}”.", list=list_key))
    if "reset" in request.POST:
        services.forget_columns(request.user, list_key)
    else:
        ticked = request.POST.getlist("column")
        chosen = [name for name in LISTS[list_key].choosable() if name in ticked]
        services.choose_columns(request.user, list_key, chosen)
    query = request.POST.get("query", "")[:1000]
    return redirect(f"{reverse(list_key)}?{query}" if query else reverse(list_key))
