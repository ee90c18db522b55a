"""Pages of water changes: one written down, the last one again, and all of them."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from breeding.housing.models import Tank, WaterSource
from breeding.housing.water.queries import newest_readings
from breeding.housing.work.changes import Changed, record_changes
from breeding.housing.work.forms import ChangeForm
from breeding.housing.work.queries import change_words, last_change_of
from breeding.housing.work.tables import ALL_CHANGES
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.problems.beside import pressed, written
from breeding.program.problems.doubts import sure_in
from breeding.words.language import tell
from breeding.words.numbers import joined


@keepers_only
def change(request: PageRequest, pk: int) -> HttpResponse:
    """Water of a tank was changed: how much, with which water."""
    tank = get_object_or_404(Tank.objects.select_related("system"), pk=pk)
    tanks = [tank, *_sharing(tank)]
    last = last_change_of(tank)
    sources = WaterSource.objects.all()
    form = ChangeForm(
        request.POST or None,
        tanks=tanks,
        sources=sources,
        program=request.program,
        initial={"source": last.source_id if last else None, "tanks": [tank.pk]},
    )
    if done := written(request, form, lambda: _record(tank, dict(form.cleaned_data), request)):
        _say(request, done)
        return redirect(tank)
    context = {
        "form": form,
        "tank": tank,
        "last": last,
        "sources": sources,
        "newest": newest_readings([tank], clock.today())[tank.pk],
    }
    return render(request, "housing/change.html", context)


def _sharing(tank: Tank) -> list[Tank]:
    return list(tank.system.tanks.exclude(pk=tank.pk)) if tank.system else []


def _record(tank: Tank, facts: dict[str, Any], request: PageRequest) -> Changed:
    now = clock.now()
    facts["changed_at"] = facts["changed_at"] or now
    tanks = list(facts.pop("tanks", None) or [tank])
    facts.pop("how_much", None)  # the tile, said as percent
    return record_changes(
        tanks,
        **facts,
        now=now,
        by=request.user,
        program=request.program,
        sure=sure_in(request.POST),
    )


def _say(request: PageRequest, done: Changed) -> None:
    first = done.changes[0]
    names = joined([str(one.tank) for one in done.changes])
    change = change_words(first, request.program)
    words = tell("Water changed in {tanks}: {change}.", tanks=names, change=change)
    say(request, words, *done.said)


@keepers_only
@require_POST
def again(request: PageRequest, pk: int) -> HttpResponse:
    """As much of the same water as the last time, now: one tap."""
    tank = get_object_or_404(Tank, pk=pk)
    last = last_change_of(tank)
    if last is None:
        return redirect("housing:change", tank.pk)
    now = clock.now()
    done = pressed(
        request,
        lambda: record_changes(
            [tank],
            changed_at=now,
            now=now,
            by=request.user,
            program=request.program,
            litres=last.litres,
            percent=last.percent,
            source=last.source,
        ),
    )
    if done is None:  # what stands against it can be answered there
        return redirect("housing:change", tank.pk)
    _say(request, done)
    return redirect("agenda:day" if request.POST.get("back") == "day" else tank)


@require_safe
def changes(request: PageRequest) -> HttpResponse:
    """The water changes of every tank, the latest first."""
    return list_page(request, "housing/changes.html", ALL_CHANGES)
