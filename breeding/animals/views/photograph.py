"""Photographs of animals: added, shown whole and small."""

from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals import services
from breeding.animals.forms import PhotographForm
from breeding.animals.models import Animal, Photograph
from breeding.animals.pictures.faces import FACE_PX, face_of
from breeding.animals.pictures.over_time import chosen_two, pictured_over_time
from breeding.animals.pictures.portraits import THUMBNAIL_PX
from breeding.animals.pictures.served import for_a_week, kept_picture
from breeding.animals.views.animal import PLACES
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import sure_in
from breeding.words.language import tell


@keepers_only
def photograph(request: PageRequest, pk: int) -> HttpResponse:
    """Add a picture of an animal."""
    animal = get_object_or_404(Animal, pk=pk)
    form = PhotographForm(request.POST or None, request.FILES or None)
    form.fields["taken_on"].initial = clock.today()
    if written(
        request,
        form,
        lambda: services.add_photograph(
            animal,
            by=request.user,
            today=clock.today(),
            sure=sure_in(request.POST),
            **form.cleaned_data,
        ),
        PLACES,
    ):
        say(request, tell("The picture of {animal} is kept.", animal=animal.name))
        return redirect(animal)
    return render(request, "animals/photograph.html", {"form": form, "animal": animal})


@require_safe
def pictures(request: PageRequest, pk: int) -> HttpResponse:
    """All pictures of an animal in the order of their days; two of them side by side."""
    animal = get_object_or_404(Animal, pk=pk)
    pictured = pictured_over_time(animal)
    chosen = chosen_two(pictured, request.GET.get("left", ""), request.GET.get("right", ""))
    widths = [one.width_mm for one in pictured if one.width_mm]
    widest = max(widths, default=1.0)
    compared = [one.width_mm for one in chosen or () if one.width_mm]
    context = {
        "animal": animal,
        "pictured": [(one, one.share_of(widest)) for one in pictured],
        "chosen": [(one, one.share_of(max(compared, default=1.0))) for one in chosen or ()],
        "is_one_scale": len(compared) == 2,
    }
    return render(request, "animals/pictures.html", context)


@require_safe
def picture(request: PageRequest, pk: int) -> HttpResponseBase:
    """A picture, for those signed in; a withdrawn one too, for it stays readable."""
    return kept_picture(get_object_or_404(Photograph.every, pk=pk).picture)


@require_safe
def thumbnail(request: PageRequest, pk: int) -> HttpResponseBase:
    """A small picture, for those signed in."""
    return _small(pk, THUMBNAIL_PX)


@require_safe
def face(request: PageRequest, pk: int) -> HttpResponseBase:
    """A very small picture for pages that show many, for those signed in."""
    return _small(pk, FACE_PX)


def _small(pk: int, side_px: int) -> HttpResponseBase:
    try:
        content = face_of(get_object_or_404(Photograph.every, pk=pk), side_px)
    except OSError:  # it is gone, or it is no picture any more
        raise Http404(tell("The file of this picture is missing.")) from None
    return for_a_week(HttpResponse(content, content_type="image/webp"))
