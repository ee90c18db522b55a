"""An ancestry is given as a file; a file somebody holds is checked, or two held side by side."""

from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render

from breeding.animals.models import Animal
from breeding.exchange.codes.drawn import drawing
from breeding.exchange.codes.packed import TooMuchForCodes, parts_of
from breeding.exchange.files import Checked
from breeding.exchange.forms import CheckForm, GiveForm
from breeding.exchange.giving import Chosen, everybody, given_ancestry
from breeding.exchange.keys.reading import known_to_strangers
from breeding.exchange.kin import KinOfTwo, LineageError, kin_of_two
from breeding.exchange.models import TakenAncestry
from breeding.program import clock
from breeding.program.frame.decorators import keepers_only, open_to_viewers
from breeding.program.frame.requests import PageRequest
from breeding.sheets.shared.strangers import dressed
from breeding.sheets.standing import own_public_key


@keepers_only
def give(request: PageRequest, pk: int) -> HttpResponseBase:
    """Choose how much of an animal's ancestry is given: as a signed file, or as codes to scan."""
    animal = get_object_or_404(Animal, pk=pk)
    return _give(request, [animal], {"animal": animal}, f"ancestry-{animal.pk}")


@keepers_only
def update(request: PageRequest, pk: int) -> HttpResponseBase:
    """What became of the animals of a file that was taken: given to whoever wrote it, or others."""
    taken = get_object_or_404(TakenAncestry, pk=pk)
    animals = Animal.objects.filter(pk__in=taken.names.values("animal")).order_by("pk")
    first = {"generations": 1, "with_sizes": True, "with_deaths": True, "with_young": True}
    return _give(request, list(animals), {"taken": taken}, f"update-{taken.pk}", first)


def _give(
    request: PageRequest,
    animals: list[Animal],
    about: dict[str, Any],
    name: str,
    first: dict[str, Any] | None = None,
) -> HttpResponseBase:
    form = GiveForm(request.GET if "generations" in request.GET else None, initial=first)
    if form.is_bound and form.is_valid() and {"save", "codes"} & set(request.GET):
        try:
            content = given_ancestry(animals, Chosen(**form.cleaned_data), on=clock.today())
            codes = parts_of(content) if "codes" in request.GET else []
        except (ValidationError, TooMuchForCodes) as problem:
            form.add_error(None, problem if isinstance(problem, ValidationError) else str(problem))
        else:
            if codes:
                drawn = [(one, drawing(one)) for one in codes]
                again = request.GET.copy()
                del again["codes"]
                shown = {"drawn": drawn, "again": again.urlencode(), **about}
                return render(request, "exchange/codes.html", shown)
            answer = HttpResponse(content, content_type="application/json")
            answer["Content-Disposition"] = f'attachment; filename="{name}.json"'
            return answer
    chosen = Chosen(**form.cleaned_data) if form.is_bound and form.is_valid() else Chosen()
    if first and not form.is_bound:
        chosen = Chosen(**first)
    rows = everybody(animals, chosen) if animals else []
    context = {"form": form, "number": len(rows), "rows": rows[:60], **about}
    return render(request, "exchange/give.html", context)


@login_not_required
@open_to_viewers
def check(request: PageRequest) -> HttpResponse:
    """Is this file as it was signed, and by whom? With a second one: how near kin are the two?

    For buyers without an account too: nothing is kept of what is sent, and nothing is written.
    """
    form = CheckForm(request.POST or None, request.FILES or None)
    is_stranger = not request.user.is_authenticated
    checked = form.checked(is_stranger=is_stranger) if form.is_bound and form.is_valid() else []
    context = {"form": form, "checked": checked, "waiting": form.waiting}
    if len(checked) == 2:
        context |= _kin(checked[0], checked[1])
    response = dressed(render(request, "exchange/check.html", context))
    # Without a referrer a browser says "null" of where a form comes from, and it is refused.
    response.headers["Referrer-Policy"] = "same-origin"
    return response


def _kin(one: Checked, other: Checked) -> dict[str, object]:
    if any(each.verdict in ("altered", "disowned", "none") for each in (one, other)):
        return {"is_bad": True}
    first, second = one.word, other.word
    if first is None or second is None:
        return {"without": [each for each in (one, other) if each.word is None]}
    try:
        own = own_public_key()
        called = _called(one) | _called(other)
        found: list[KinOfTwo] = kin_of_two(first, second, known_to_strangers(own), called)
    except LineageError as problem:
        return {"kin_problem": str(problem)}
    return {"kin": found}


def _called(one: Checked) -> dict[str, str]:
    """The name of the animal that a sheet is about, by its identity."""
    if one.facts is None or one.word is None or len(one.word.about) != 1:
        return {}
    return {one.word.about[0]: one.facts.animal.shown_name}
