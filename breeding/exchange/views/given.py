"""An ancestry is given as a file; a file somebody holds is checked, or two held side by side."""

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render

from breeding.animals.models import Animal
from breeding.exchange.ancestry import Word
from breeding.exchange.forms import CheckForm, GiveForm
from breeding.exchange.giving import Chosen, given_ancestry, with_ancestors
from breeding.exchange.kin import KinOfTwo, LineageError, kin_of_two
from breeding.program import clock
from breeding.program.frame.decorators import keepers_only, open_to_viewers
from breeding.program.frame.requests import PageRequest
from breeding.sheets.strangers import dressed


@keepers_only
def give(request: PageRequest, pk: int) -> HttpResponseBase:
    """Choose how much of an animal's ancestry is given, and save the signed file."""
    animal = get_object_or_404(Animal, pk=pk)
    form = GiveForm(request.GET if "generations" in request.GET else None)
    if form.is_bound and form.is_valid() and "save" in request.GET:
        try:
            content = given_ancestry([animal], Chosen(**form.cleaned_data), on=clock.today())
        except ValidationError as problem:
            form.add_error(None, problem)
        else:
            answer = HttpResponse(content, content_type="application/json")
            answer["Content-Disposition"] = f'attachment; filename="ancestry-{animal.pk}.json"'
            return answer
    back = form.cleaned_data.get("generations", 5) if form.is_bound else 5
    rows = with_ancestors([animal], back if isinstance(back, int) else 5)
    context = {"form": form, "animal": animal, "number": len(rows), "rows": rows[:60]}
    return render(request, "exchange/give.html", context)


@login_not_required
@open_to_viewers
def check(request: PageRequest) -> HttpResponse:
    """Is this file as it was signed, and by whom? With a second one: how near kin are the two?

    For buyers without an account too: nothing is kept of what is sent, and nothing is written.
    """
    form = CheckForm(request.POST or None, request.FILES or None)
    checked = form.checked() if form.is_bound and form.is_valid() else []
    context = {"form": form, "checked": checked}
    if len(checked) == 2:
        context |= _kin(checked[0].word, checked[1].word)
    return dressed(render(request, "exchange/check.html", context))


def _kin(first: Word | None, second: Word | None) -> dict[str, object]:
    if first is None or second is None:
        return {"is_without": True}
    try:
        found: list[KinOfTwo] = kin_of_two(first, second)
    except LineageError as problem:
        return {"kin_problem": str(problem)}
    return {"kin": found}
