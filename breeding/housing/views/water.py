"""Pages about water: a test, what it says, and what this program calls fit."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.housing.models import Tank, WaterRange, WaterTest
from breeding.housing.tables import ALL_WATER_TESTS
from breeding.housing.water import services as water_services
from breeding.housing.water.forms import RangeForm, WaterTestForm
from breeding.housing.water.queries import (
    dangerous_in,
    default_ranges,
    is_of_rays,
    last_test_of,
    ranges,
    unlikely_in,
    values_said,
    water_fit,
)
from breeding.housing.water.said import (
    ammonia_harm,
    ammonia_lines_said,
    ammonia_words,
    nitrate_words,
    ph_change_said,
    ph_of_rays_said,
)
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only, owners_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.panels import panels_for
from breeding.program.problems.beside import written
from breeding.words.language import later, tell


@keepers_only
def water_test(request: PageRequest, pk: int) -> HttpResponse:
    """Log a test of a tank's water, in the units of its last test."""
    tank = get_object_or_404(Tank.objects.select_related("system"), pk=pk)
    last = last_test_of(tank)
    form = WaterTestForm(request.POST or None, program=request.program, last=last)
    test = written(request, form, lambda: _record(tank, form.cleaned_data, request))
    if test is not None:
        fit = water_fit(tank, clock.today(), program=request.program)
        done = tell("Written: a water test of {tank}.", tank=tank)
        say(request, done, later(lambda: fit.words))
        return redirect("housing:water", test.pk)
    context = {
        "form": form,
        "tank": tank,
        "last": last,
    }
    return render(request, "housing/water_test.html", context)


def _record(tank: Tank, facts: dict[str, Any], request: PageRequest) -> WaterTest:
    now = clock.now()
    return water_services.record_water_test(
        tank, **facts | {"tested_at": facts["tested_at"] or now}, now=now, by=request.user
    )


@require_safe
def water_tests(request: PageRequest) -> HttpResponse:
    """The tests of every tank, the latest first."""
    return list_page(request, "housing/water_tests.html", ALL_WATER_TESTS)


@require_safe
def water(request: PageRequest, pk: int) -> HttpResponse:
    """One test: what was typed, in both units, and how much of the ammonia harms."""
    tests = WaterTest.objects.select_related("tank__system", "recorded_by", "withdrawn_by")
    test = get_object_or_404(tests, pk=pk)
    context = {
        "test": test,
        "values": values_said(test, request.program),
        "dangerous": dangerous_in(test, request.program),
        "unlikely": unlikely_in(test, request.program),
        "ammonia": ammonia_words(test),
        "nitrate": nitrate_words(test),
        "harm": ammonia_harm(test),
        "lines": ammonia_lines_said(),
        "fit": water_fit(test.tank, clock.today(), program=request.program),
        "panels": panels_for("housing:water", request, test.tank),
    }
    return render(request, "housing/water.html", context)


@owners_only
def limits(request: PageRequest) -> HttpResponse:
    """What this program calls fit water, each default with its source."""
    form = RangeForm(
        request.POST or None,
        program=request.program,
        ranges=ranges(),
        defaults=default_ranges(),
        sources=dict(WaterRange.objects.values_list("what", "source")),
    )
    if written(request, form, lambda: _choose(form)):
        say(request, tell("What is called fit water is changed, from now on."))
        return redirect("housing:index")
    context = {
        "form": form,
        "ph_of_rays": ph_of_rays_said() if is_of_rays() else None,
        "ph_change": ph_change_said(),
    }
    return render(request, "housing/limits.html", context)


def _choose(form: RangeForm) -> bool:
    water_services.choose_ranges(form.chosen(), form.sources())
    return True
