"""Pages of water under matings and births: of the whole program, and of one female."""

import datetime

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.housing.course.span import SPANS, span_asked
from breeding.pairings.seasonal.picture import drawn, key_for
from breeding.pairings.seasonal.waters import SHOWN, Window, around, matings, strips_of
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.words.language import tell


@require_safe
def seasonal(request: PageRequest) -> HttpResponse:
    """The water before and after each of the latest matings that were seen."""
    today = clock.today()
    found = matings(before=_day_asked(request.GET.get("before", "")), most=SHOWN + 1)
    shown = found[:SHOWN]
    windows = [around(female, on, today) for female, on in shown]
    strips = strips_of(windows, request.program)
    unit = request.program.temperature_unit
    context = {
        "strips": [
            drawn(strip, id=f"s{number}", temperature_unit=unit)
            for number, strip in enumerate(strips)
        ],
        "key": key_for(strips),
        "earlier": shown[-1][1] if len(found) > SHOWN else None,
    }
    return render(request, "pairings/seasonal.html", context)


def _day_asked(typed: str) -> datetime.date | None:
    """What cannot be read as a day asks for nothing."""
    try:
        on = datetime.date.fromisoformat(typed)
    except ValueError:
        return None
    return on if datetime.date(1900, 1, 1) <= on < datetime.date(9000, 1, 1) else None


@require_safe
def her_water(request: PageRequest, pk: int) -> HttpResponse:
    """The water one female was in, over her own matings and births."""
    animal = get_object_or_404(Animal, pk=pk, sex=Animal.Sex.FEMALE)
    today = clock.today()
    asked = request.GET if "days" in request.GET else {**request.GET.dict(), "days": "365"}
    span = span_asked(asked, today)
    strips = strips_of([Window(animal, span)], request.program)
    context = {
        "animal": animal,
        "span": span,
        "spans": [(days, tell(words)) for days, words in SPANS.items()],
        "is_newest": span.last == today,
        "strip": drawn(strips[0], id="her", temperature_unit=request.program.temperature_unit),
        "key": key_for(strips),
    }
    return render(request, "pairings/her_water.html", context)
