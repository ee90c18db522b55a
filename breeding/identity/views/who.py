"""Who is this? A picture of nobody yet is kept, asked about, and told."""

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.animals.pictures.served import kept_picture
from breeding.identity.drawn import BesideEachOther, beside
from breeding.identity.forms import UntoldForm, WhoForm
from breeding.identity.models import PatternReading, UntoldPicture
from breeding.identity.queries import Answer, Likeness, answer_of, pattern_of, wanted
from breeding.identity.services import keep_untold, tell_who
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.requests import PageRequest
from breeding.program.panels import panels_for
from breeding.program.problems.beside import written
from breeding.words.language import tell

LATEST = 12
MOST_WANTED = 24
MOST_ANIMALS = 500  # whose pictures are looked through for the page


def who(request: PageRequest) -> HttpResponse:
    """Ask who is in a picture; the pictures still untold, and the animals without one."""
    today = clock.today()
    form = UntoldForm(request.POST or None, request.FILES or None, initial={"taken_on": today})
    if kept := written(
        request,
        form,
        lambda: keep_untold(
            form.cleaned_data["file"],
            taken_on=form.cleaned_data["taken_on"],
            note=form.cleaned_data["note"],
            today=today,
            by=request.user,
        ),
    ):
        return redirect("identity:mark_untold", pk=kept.pk)
    here = Animal.objects.filter(state=Animal.State.HERE)
    lacking = wanted(list(here.order_by("call_name", "code")[:MOST_ANIMALS]), today)
    context = {
        "form": form,
        "untold": UntoldPicture.objects.filter(became__isnull=True)[:LATEST],
        "wanted": lacking[:MOST_WANTED],
        "more_wanted": max(len(lacking) - MOST_WANTED, 0),
        "today": today,
    }
    return render(request, "identity/who.html", context)


def answer(request: PageRequest, pk: int) -> HttpResponse:
    """Whom a picture is most like, side by side; a person says who it is."""
    untold = get_object_or_404(UntoldPicture.every.select_related("became__animal"), pk=pk)
    form = WhoForm(request.POST or None)
    if photograph := written(
        request,
        form,
        lambda: tell_who(untold, form.cleaned_data["animal"], by=request.user, today=clock.today()),
    ):
        name = photograph.animal.name
        say(request, tell("The picture is one of {animal} now.", animal=name))
        return redirect("animals:pictures", pk=photograph.animal_id)
    pattern = pattern_of(untold)
    found = answer_of(pattern, untold.taken_on) if pattern and not untold.became_id else None
    context = {
        "untold": untold,
        "became": untold.became if untold.became and not untold.became.is_withdrawn else None,
        "pattern": pattern,
        "found": found,
        "sides": _sides(pattern, found),
        "form": form,
        "panels": panels_for("identity:answer", request, pattern) if pattern else [],
    }
    return render(request, "identity/answer.html", context)


def _sides(
    pattern: PatternReading | None, found: Answer | None
) -> list[tuple[Likeness, BesideEachOther]]:
    if pattern is None or found is None:
        return []
    return [(one, beside(pattern, one)) for one in found.likenesses]


@require_safe
def picture(request: PageRequest, pk: int) -> HttpResponseBase:
    """A picture of nobody yet, for those signed in."""
    return kept_picture(get_object_or_404(UntoldPicture.every, pk=pk).picture)


@require_safe
def thumbnail(request: PageRequest, pk: int) -> HttpResponseBase:
    """The small one, for those signed in."""
    return kept_picture(get_object_or_404(UntoldPicture.every, pk=pk).thumbnail)
