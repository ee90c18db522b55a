"""The page of a tank's water over time."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from breeding.housing.course.marks import SHAPES, marks_in
from breeding.housing.course.picture import key_of, marks_words, plots_of
from breeding.housing.course.readings import readings_in
from breeding.housing.course.span import SPANS, span_asked
from breeding.housing.models import Tank
from breeding.housing.water.arisen import arisen_of
from breeding.housing.water.queries import ranges
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.words.language import tell


@require_safe
def course(request: PageRequest, pk: int) -> HttpResponse:
    """Each quantity over the days asked for, with its limits and what happened meanwhile."""
    tank = get_object_or_404(Tank.every.select_related("system"), pk=pk)
    today = clock.today()
    span = span_asked(request.GET, today)
    readings = readings_in([tank], span)
    marks = marks_in([tank], span, request.program)
    unit = request.program.temperature_unit
    context = {
        "tank": tank,
        "span": span,
        "spans": [(days, tell(words)) for days, words in SPANS.items()],
        "is_newest": span.last == today,
        "readings": readings,
        "plots": plots_of(readings, marks, ranges(), span, temperature_unit=unit),
        "key": key_of(marks, SHAPES),
        "happened": marks_words(marks),
        "arisen": arisen_of([tank], today).get(tank.pk, ()),
    }
    return render(request, "housing/course.html", context)
