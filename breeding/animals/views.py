"""Pages of the animals' room."""

from django.contrib import messages
from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe
from django_tables2 import RequestConfig

from breeding.animals import readings, services
from breeding.animals.descent import descent_of
from breeding.animals.figure_views import figures, species  # noqa: F401  (routes have views here)
from breeding.animals.filters import AnimalFilter
from breeding.animals.forms import AnimalForm, MeasurementForm, PhotographForm, StateForm
from breeding.animals.models import Animal, Photograph
from breeding.animals.panels import panels_for
from breeding.animals.tables import AnimalRows, AnimalTable
from breeding.animals.trees import tree_svg
from breeding.program import clock
from breeding.program.decorators import keepers_only
from breeding.program.problems import written
from breeding.program.requests import PageRequest

PER_PAGE = 50
PLACES = {
    "born_on": "born",
    "possible_sires": "possible_sire_1",
    "species_shares": "species_1",
    "picture": "file",
}


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Every animal, searched and narrowed."""
    asked = request.GET.copy()
    asked.setdefault("state", "here")
    found = AnimalFilter(asked, queryset=Animal.objects.all())
    rows = readings.animal_rows(found.qs if found.form.is_valid() else Animal.objects.none())
    table = AnimalTable(AnimalRows(rows), species_names=readings.species_names(), order_by="name")
    RequestConfig(request, paginate={"per_page": PER_PAGE, "silent": True}).configure(table)
    context = {"filter": found, "table": table, "count": len(rows), "any": Animal.objects.exists()}
    return render(request, "animals/index.html", context)


@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """One animal: what it looks like, where it comes from, how it grows."""
    animal = get_object_or_404(
        Animal.objects.select_related("sire", "dam", "strain", "portrait", "recorded_by"), pk=pk
    )
    context = {
        "animal": animal,
        "possible_sires": animal.possible_sires.select_related("sire"),
        "descent": descent_of(animal),
        "tree": tree_svg(animal),
        "measurements": animal.measurements.all(),
        "photographs": animal.photographs.all(),
        "young": readings.young_of(animal),
        "panels": panels_for(request, animal),
    }
    return render(request, "animals/detail.html", context)


@keepers_only
def new(request: PageRequest) -> HttpResponse:
    """Write down an animal; the program gives the code."""
    form = AnimalForm(request.POST or None, today=clock.today())
    if animal := written(
        request, form, lambda: services.register_animal(by=request.user, **form.facts()), PLACES
    ):
        messages.success(request, f"{animal.full_name} is written down.")
        return redirect(animal)
    return render(request, "animals/new.html", {"form": form})


@keepers_only
def edit(request: PageRequest, pk: int) -> HttpResponse:
    """Change what is written about an animal."""
    animal = get_object_or_404(Animal, pk=pk)
    form = AnimalForm(request.POST or None, instance=animal, today=clock.today())
    if written(request, form, lambda: services.change_animal(animal, **form.facts()), PLACES):
        messages.success(request, f"{animal.full_name} is saved.")
        return redirect(animal)
    return render(request, "animals/edit.html", {"form": form, "animal": animal})


@keepers_only
def state(request: PageRequest, pk: int) -> HttpResponse:
    """Here, on loan, left or died."""
    animal = get_object_or_404(Animal, pk=pk)
    today = clock.today()
    known = {"state": animal.state, "on": today}
    form = StateForm(request.POST or None, initial=known, today=today)
    if written(request, form, lambda: services.change_state(animal, **form.cleaned_data), PLACES):
        messages.success(request, f"{animal.name}: {animal.get_state_display()}.")
        return redirect(animal)
    return render(request, "animals/state.html", {"form": form, "animal": animal})


@keepers_only
def measure(request: PageRequest, pk: int) -> HttpResponse:
    """Write down size and condition."""
    animal = get_object_or_404(Animal, pk=pk)
    form = MeasurementForm(request.POST or None, program=request.program, today=clock.today())
    if written(
        request,
        form,
        lambda: services.add_measurement(animal, by=request.user, **form.cleaned_data),
        PLACES,
    ):
        messages.success(request, f"{animal.name} is measured.")
        return redirect(animal)
    return render(request, "animals/measure.html", {"form": form, "animal": animal})


@keepers_only
def photograph(request: PageRequest, pk: int) -> HttpResponse:
    """Add a picture of an animal."""
    animal = get_object_or_404(Animal, pk=pk)
    form = PhotographForm(request.POST or None, request.FILES or None)
    form.fields["taken_on"].initial = clock.today()
    if written(
        request,
        form,
        lambda: services.add_photograph(animal, by=request.user, **form.cleaned_data),
        PLACES,
    ):
        messages.success(request, f"The picture of {animal.name} is kept.")
        return redirect(animal)
    return render(request, "animals/photograph.html", {"form": form, "animal": animal})


@require_safe
def picture(request: PageRequest, pk: int) -> HttpResponseBase:
    """A picture, for those signed in."""
    return _file(get_object_or_404(Photograph, pk=pk).picture)


@require_safe
def thumbnail(request: PageRequest, pk: int) -> HttpResponseBase:
    """A small picture, for those signed in."""
    return _file(get_object_or_404(Photograph, pk=pk).thumbnail)


def _file(field: FieldFile) -> HttpResponseBase:
    try:
        response = FileResponse(field.open("rb"), content_type="image/jpeg")
    except FileNotFoundError:
        raise Http404("The file of this picture is missing.") from None
    response.headers["Cache-Control"] = "private, max-age=604800, immutable"
    return response
