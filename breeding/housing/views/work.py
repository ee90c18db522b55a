"""Pages of care: what was seen to at a tank, all of it, how often it is due, and all waters."""

from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from breeding.housing.models import Tank, TankRhythm, TankWork
from breeding.housing.work.care import record_work
from breeding.housing.work.forms import RhythmForm, WorkForm
from breeding.housing.work.overview import waters_of
from breeding.housing.work.queries import USUAL_PERCENT
from breeding.housing.work.rhythm import choose_rhythms, rhythms_of, usual_test_days
from breeding.housing.work.tables import ALL_WORKS
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.problems.beside import pressed, written
from breeding.words.language import later, tell

TANKS_ON_A_PAGE = 40


@keepers_only
def work(request: PageRequest, pk: int) -> HttpResponse:
    """Something at a tank was seen to, today or earlier."""
    tank = get_object_or_404(Tank, pk=pk)
    today = clock.today()
    form = WorkForm(request.POST or None, today=today)
    done = written(
        request,
        form,
        lambda: record_work(tank, **form.cleaned_data, today=today, by=request.user),
    )
    if done is not None:
        say(request, later(lambda: f"{tank}: {done.get_kind_display()}."))
        return redirect(tank)
    return render(request, "housing/work.html", {"form": form, "tank": tank})


@keepers_only
@require_POST
def tap_work(request: PageRequest, kind: str, pk: int) -> HttpResponse:
    """It was seen to today: one tap."""
    tank = get_object_or_404(Tank, pk=pk)
    if kind not in TankWork.Kind.values or kind == TankWork.Kind.OTHER:
        raise Http404
    today = clock.today()
    done = pressed(
        request, lambda: record_work(tank, kind=kind, on=today, today=today, by=request.user)
    )
    if done is not None:
        say(request, tell("{tank}: {what} today.", tank=tank, what=later(done.get_kind_display)))
    return redirect("agenda:day" if request.POST.get("back") == "day" else tank)


@require_safe
def works(request: PageRequest) -> HttpResponse:
    """What was seen to at every tank, the latest first."""
    return list_page(request, "housing/works.html", ALL_WORKS)


@keepers_only
def rhythm(request: PageRequest, pk: int) -> HttpResponse:
    """How often a test, a change and filter care are due in one tank."""
    tank = get_object_or_404(Tank, pk=pk)
    form = RhythmForm(
        request.POST or None,
        chosen=rhythms_of([tank]).get(tank.pk, {}),
        usual_test_days=usual_test_days(tank, request.program),
    )
    if written(request, form, lambda: _choose(tank, form)):
        say(request, tell("{tank}: what is due how often is changed.", tank=tank))
        return redirect(tank)
    return render(request, "housing/rhythm.html", {"form": form, "tank": tank})


def _choose(tank: Tank, form: RhythmForm) -> bool:
    choose_rhythms(tank, {what: form.cleaned_data[what] for what in TankRhythm.What.values})
    return True


@require_safe
def waters(request: PageRequest) -> HttpResponse:
    """The water of every tank: its last test, change and filter care, and what is due."""
    rows = Paginator(waters_of(request.program, asof=clock.today()), TANKS_ON_A_PAGE)
    page = rows.get_page(request.GET.get("page"))
    context = {"page": page, "usual_percent": USUAL_PERCENT}
    return render(request, "housing/waters.html", context)
