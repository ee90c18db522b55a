"""A disc on a picture: marked by four taps, its spots shown, put right and compared."""

from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from breeding.animals.models import Photograph
from breeding.identity.alike import note_likeness
from breeding.identity.drawn import beside, rings
from breeding.identity.models import PatternReading, UntoldPicture
from breeding.identity.queries import answer_of, pattern_of
from breeding.identity.services import mark_disc, tap_spot, use_reading
from breeding.identity.straight import place_in_frame, straight_jpeg
from breeding.identity.taps import Taps, outline, read_taps
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import pressed
from breeding.spots import untold as untold_reason
from breeding.words.language import tell, tell_many

SHOWN_PX = 340  # how wide a picture is drawn where no script makes it wider


@keepers_only
def mark(request: PageRequest, pk: int) -> HttpResponse:
    """Mark the disc on a picture of an animal."""
    photograph = get_object_or_404(Photograph.every.select_related("animal"), pk=pk)
    return _mark(request, photograph)


@keepers_only
def mark_untold(request: PageRequest, pk: int) -> HttpResponse:
    """Mark the disc on a picture of nobody yet."""
    return _mark(request, get_object_or_404(UntoldPicture.every, pk=pk))


def _mark(request: PageRequest, subject: Photograph | UntoldPicture) -> HttpResponse:
    """Four taps, one after the other, each a link of its own: Back takes the last one back."""
    if request.method == "POST":
        taps = _taps(request.POST.getlist("tap"), subject)
        if not taps.problem and (read := pressed(request, lambda: _read(subject, taps))):
            say(request, _found_words(read))
            is_animals = isinstance(subject, Photograph)
            return redirect(read if is_animals else subject)  # type: ignore[arg-type]
    elif (tapped := _tapped(request)) is not None:
        sent = [*request.GET.getlist("tap"), _natural(tapped, subject)]
        return redirect(f"{request.path}?{urlencode([('tap', one) for one in sent])}")
    else:
        taps = _taps(request.GET.getlist("tap"), subject)
    whole = taps.are_all and not taps.problem
    as_read = [f"{x:g}, {y:g}" for x, y in taps.taps]
    sent = (request.POST if request.method == "POST" else request.GET).getlist("tap")
    context = {
        "subject": subject,
        "taps": as_read,
        "marks": taps.taps,
        "asked": taps.asked,
        "problem": taps.problem,
        "typed": [*(sent if taps.problem else as_read), "", "", "", ""][:4],
        "outline": outline(taps.taps) if whole else "",
        "is_whole": whole,
        "shown_px": SHOWN_PX,
        "mark_r": max(subject.width_px, subject.height_px) / 90,
        "pattern": pattern_of(subject),
    }
    return render(request, "identity/mark.html", context)


def _read(subject: Photograph | UntoldPicture, taps: Taps) -> PatternReading:
    read = mark_disc(subject, taps.taps)
    note_likeness(read, clock.now())
    return read


def _taps(typed: list[str], subject: Photograph | UntoldPicture) -> Taps:
    return read_taps(typed, width=subject.width_px, height=subject.height_px)


def _tapped(request: PageRequest) -> tuple[float, float, float] | None:
    """Where the picture was tapped and how wide it was shown; None: it was not."""
    try:
        x, y = (float(request.GET[f"at.{axis}"]) for axis in "xy")
        shown = float(request.GET.get("shown", SHOWN_PX))
    except (KeyError, ValueError):
        return None
    return (x, y, shown) if 20 <= shown <= 20000 else None


def _natural(tapped: tuple[float, float, float], subject: Photograph | UntoldPicture) -> str:
    """A tap on the picture as it was shown, in pixels of the picture itself."""
    x, y, shown = tapped
    scale = subject.width_px / shown
    return f"{x * scale:.1f},{y * scale:.1f}"


def _found_words(read: PatternReading) -> str:
    return tell_many("{number} spot was found.", "{number} spots were found.", len(read.spots))


def spots(request: PageRequest, pk: int) -> HttpResponse:
    """The spots that were found on a disc; a tap takes one away or adds one."""
    pattern = _pattern(pk)
    if request.method == "POST":
        added = pressed(request, lambda: _tap_on_square(pattern, request))
        if added is not None:
            say(request, added)
            return redirect(pattern)
        pattern = _pattern(pk)
    context = {
        "pattern": pattern,
        "subject": pattern.subject,
        "rings": rings(pattern.spots, set()),
        "reason": untold_reason(pattern.reading()),
        "shown_px": SHOWN_PX,
    }
    return render(request, "identity/spots.html", context)


def _tap_on_square(pattern: PatternReading, request: PageRequest) -> str:
    x, y, shown = (_number(request.POST.get(name, ""), name) for name in ("at.x", "at.y", "shown"))
    added = tap_spot(pattern, *place_in_frame(x, y, max(shown, 20)))
    note_likeness(_pattern(pattern.pk), clock.now())
    return tell("One spot was added.") if added else tell("One spot was taken away.")


def _number(text: str, name: str) -> float:
    try:
        return float(text)
    except ValueError:
        return SHOWN_PX if name == "shown" else -1e6  # off the disc, which is said


@require_POST
@keepers_only
def use(request: PageRequest, pk: int) -> HttpResponse:
    """Let the spots of a picture serve, or no longer, to tell who is who."""
    pattern = _pattern(pk)
    used = request.POST.get("used") == "yes"
    if pressed(request, lambda: use_reading(pattern, used=used)):
        if used:
            say(request, tell("These spots serve to tell who is who."))
        else:
            say(request, tell("These spots no longer serve to tell who is who."))
    return redirect(pattern)


@require_safe
def compare(request: PageRequest, pk: int) -> HttpResponse:
    """A picture on record held against all the others: is it whose it is said to be?"""
    pattern = _pattern(pk)
    if pattern.photograph is None:
        return redirect(pattern.subject)
    found = answer_of(pattern, pattern.photograph.taken_on)
    context = {
        "pattern": pattern,
        "animal": pattern.photograph.animal,
        "found": found,
        "sides": [(one, beside(pattern, one)) for one in found.likenesses],
    }
    return render(request, "identity/compare.html", context)


@require_safe
def square(request: PageRequest, pk: int) -> HttpResponseBase:
    """The disc straightened, snout up, as a picture."""
    pattern = _pattern(pk)
    try:
        with pattern.subject.picture.open("rb") as file:
            content = straight_jpeg(file, pattern.taps)
    except FileNotFoundError:
        raise Http404(tell("The file of this picture is missing.")) from None
    response = HttpResponse(content, content_type="image/jpeg")
    response.headers["Cache-Control"] = "private, max-age=300"
    return response


def _pattern(pk: int) -> Any:
    rows = PatternReading.objects.select_related("photograph__animal", "untold")
    return get_object_or_404(rows, pk=pk)
