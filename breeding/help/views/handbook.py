"""The handbook: its chapters, and each of them."""

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.help.chapters import BY_KEY, CHAPTERS
from breeding.program.frame.requests import PageRequest
from breeding.program.offline.readable import readable_offline
from breeding.words.language import tell


@readable_offline
@require_safe
def index(request: PageRequest) -> HttpResponse:
    return render(request, "help/index.html", {"chapters": CHAPTERS})


@readable_offline
@require_safe
def chapter(request: PageRequest, chapter: str) -> HttpResponse:
    """One chapter, and the way to the next."""
    if chapter not in BY_KEY:
        raise Http404(tell("The handbook has no such chapter."))
    place = CHAPTERS.index(BY_KEY[chapter])
    context = {
        "chapter": CHAPTERS[place],
        "next": CHAPTERS[place + 1] if place + 1 < len(CHAPTERS) else None,
    }
    return render(request, "help/chapter.html", context)
