"""Pages of source waters: all of them, a new one, one joined to another."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.housing.models import WaterSource
from breeding.housing.work.forms import SourceForm
from breeding.housing.work.overview import figures_words
from breeding.housing.work.sources import add_source
from breeding.program import clock
from breeding.program.acts.joining import joining
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.words.language import tell, tell_many


@require_safe
def sources(request: PageRequest) -> HttpResponse:
    """Every source water: how it is prepared, and what it was found to be."""
    known = list(WaterSource.every.select_related("withdrawn_by"))
    unit = request.program.temperature_unit
    context = {
        "sources": [(one, figures_words(one, unit)) for one in known if not one.is_withdrawn],
        "withdrawn": [one for one in known if one.is_withdrawn],
    }
    return render(request, "housing/sources.html", context)


@keepers_only
def new_source(request: PageRequest) -> HttpResponse:
    """Write down a source water."""
    today = clock.today()
    form = SourceForm(request.POST or None, program=request.program, today=today)
    source = written(
        request, form, lambda: add_source(by=request.user, today=today, **form.cleaned_data)
    )
    if source is not None:
        say(request, tell("The source water {water} is written down.", water=source))
        return redirect(source)
    return render(request, "housing/new_source.html", {"form": form})


@keepers_only
def join_source(request: PageRequest, pk: int) -> HttpResponse:
    """Say that a source water is another one, and withdraw it."""
    source = get_object_or_404(WaterSource, pk=pk)
    form, moved = joining(request, source)
    if moved is not None:
        into = form.cleaned_data["into"]
        words = tell_many(
            "{number} water change with {source} went to {other}.",
            "{number} water changes with {source} went to {other}.",
            moved,
            source=source,
            other=into,
        )
        say(request, words)
        return redirect(into)
    return render(request, "housing/join_source.html", {"form": form, "source": source})
