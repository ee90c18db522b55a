"""Photographs of animals: added, shown whole and small."""

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals import services
from breeding.animals.forms import PhotographForm
from breeding.animals.models import Animal, Photograph
from breeding.animals.views.animal import PLACES
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import sure_in


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
        say(request, f"The picture of {animal.name} is kept.")
        return redirect(animal)
    return render(request, "animals/photograph.html", {"form": form, "animal": animal})


@require_safe
def picture(request: PageRequest, pk: int) -> HttpResponseBase:
    """A picture, for those signed in; a withdrawn one too, for it stays readable."""
    return _file(get_object_or_404(Photograph.every, pk=pk).picture)


@require_safe
def thumbnail(request: PageRequest, pk: int) -> HttpResponseBase:
    """A small picture, for those signed in."""
    return _file(get_object_or_404(Photograph.every, pk=pk).thumbnail)


def _file(field: FieldFile) -> HttpResponseBase:
    try:
        response = FileResponse(field.open("rb"), content_type="image/jpeg")
    except FileNotFoundError:
        raise Http404("The file of this picture is missing.") from None
    response.headers["Cache-Control"] = "private, max-age=604800, immutable"
    return response
