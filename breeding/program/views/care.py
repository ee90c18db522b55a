"""The care page, and the way to everything else."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.templatetags.static import static
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

from breeding.program.kinds import kind_words
from breeding.program.offline.readable import readable_offline
from breeding.program.reference.cautions import cautions

# In this order: what is urgent first, then what comes before everything else written there.
CARE = (
    "emergency",
    "spine",
    "law",
    "animals",
    "medicines",
    "shipping",
    "oxygen",
    "arrival",
    "arrival_short",
    "arrival_long",
    "arrival_then",
    "first_weeks",
)


@readable_offline
@require_safe
def care(request: HttpRequest) -> HttpResponse:
    """Cautions: the spine, the law, the animals, and how they travel."""
    known = cautions(kind_words())
    parts = [known[key] for key in CARE if known[key].sentences]
    return render(request, "program/care.html", {"cautions": parts})


@require_safe
def more(request: HttpRequest) -> HttpResponse:
    """Everything that has no place in the thumb's row."""
    return render(request, "program/more.html")


@login_not_required
@require_safe
@cache_control(max_age=60 * 60 * 24, public=True)
def favicon(request: HttpRequest) -> HttpResponse:
    """The mark, for browsers that ask at the usual address: beside a PDF no page names it."""
    return redirect(static("mark.svg"))
