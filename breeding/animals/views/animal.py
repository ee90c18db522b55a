"""Pages of animals: the list, one animal, a new one, changed."""

from django.core.exceptions import NON_FIELD_ERRORS
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals import queries, services
from breeding.animals.away.following import asked_of_gone
from breeding.animals.forms import AnimalForm, MeasurementForm, StateForm
from breeding.animals.growth.condition import weight_said
from breeding.animals.growth.measured import measurements_of_one
from breeding.animals.growth.said import growth_said
from breeding.animals.lineage import descendants
from breeding.animals.mending.withdrawing import further_parts, withdrawn_parts
from breeding.animals.models import Animal
from breeding.animals.parents.contradicting import Asking, change_as_answered, question_of
from breeding.animals.parents.descent import descent_of
from breeding.animals.pictures.trees import tree_svg
from breeding.animals.tables import ALL_ANIMALS
from breeding.program import clock
from breeding.program.acts.history import history_of
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.offline.readable import readable_offline
from breeding.program.panels import panels_for
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import reason_in, sure_in
from breeding.words.language import later, tell

LIFE, PAPERS = range(20), range(20, 100)  # of its day and health; of buyers, sheets and the desk
PLACES = {
    "born_on": "born",
    "possible_sires": "possible_sire_1",
    "species_shares": "species_1",
    "picture": "file",
}


@readable_offline
@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Every animal, searched and narrowed."""
    return list_page(request, "animals/index.html", ALL_ANIMALS)


@readable_offline
@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """One animal: what it looks like, where it comes from, how it grows."""
    animal = get_object_or_404(
        Animal.every.select_related(
            "sire", "dam", "strain", "portrait", "recorded_by", "withdrawn_by"
        ),
        pk=pk,
    )
    if animal.is_withdrawn:
        return _withdrawn(request, animal)
    measurements = measurements_of_one(animal)
    context = {
        "animal": animal,
        "possible_sires": animal.possible_sires.select_related("sire"),
        "descent": descent_of(animal),
        "tree": tree_svg(animal),
        "measurements": measurements,
        "has_back": any(one.back_height_mm for one in measurements),
        "has_girth": any(one.girth_mm for one in measurements),
        "has_condition": any(one.condition is not None for one in measurements),
        "has_notes": any(one.note for one in measurements),
        "weight": weight_said(animal, measurements, request.program),
        "growth": growth_said(animal, request.program, today=clock.today()),
        "photographs": animal.photographs.all(),
        "withdrawn": withdrawn_parts(animal),
        "young": queries.young_of(animal) if descendants(animal.pk) else (),
        "panels": panels_for("animals:detail", request, animal, places=LIFE),
        "papers": panels_for("animals:detail", request, animal, places=PAPERS),
    }
    return render(request, "animals/detail.html", context)


def _withdrawn(request: PageRequest, animal: Animal) -> HttpResponse:
    """What was written of an animal that counts no more: to be read, and brought back."""
    context = {
        "animal": animal,
        "possible_sires": animal.possible_sires.select_related("sire"),
        "parts": further_parts(animal),
        "withdrawn": withdrawn_parts(animal),
        "history": history_of(animal, request.program),
    }
    return render(request, "animals/_withdrawn.html", context)


@keepers_only
def new(request: PageRequest) -> HttpResponse:
    """Write down an animal; the program gives the code."""
    form = AnimalForm(request.POST or None, today=clock.today())
    if animal := written(request, form, lambda: _register(request, form), PLACES):
        say(request, tell("{animal} is written down.", animal=animal.full_name))
        return redirect(animal)
    return render(request, "animals/new.html", {"form": form})


def _register(request: PageRequest, form: AnimalForm) -> Animal:
    return services.register_animal(by=request.user, sure=sure_in(request.POST), **form.facts())


@keepers_only
def edit(request: PageRequest, pk: int) -> HttpResponse:
    """Change what is written about an animal."""
    animal = get_object_or_404(Animal, pk=pk)
    form = AnimalForm(request.POST or None, instance=animal, today=clock.today())
    answer = request.POST.get("settle", "")
    done = written(
        request,
        form,
        lambda: change_as_answered(_asking(request, pk, form), answer),
        PLACES,
        changing=animal,
    )
    if done is not None:
        say(request, tell("{animal} is saved.", animal=done.full_name))
        return redirect(done)
    is_asked = form.is_bound and form.has_error(NON_FIELD_ERRORS, "contradicts")
    context = {
        "form": form,
        "animal": animal,
        "history": history_of(animal, request.program),
        "question": question_of(_asking(request, pk, form)) if is_asked else None,
        "answer": answer,
    }
    return render(request, "animals/edit.html", context)


def _asking(request: PageRequest, pk: int, form: AnimalForm) -> Asking:
    """The change that the form asks for, of the animal as it is on record."""
    return Asking(
        get_object_or_404(Animal, pk=pk),
        form.changed_facts(),
        by=request.user,
        now=clock.now(),
        today=clock.today(),
        sure=sure_in(request.POST),
    )


@keepers_only
def state(request: PageRequest, pk: int) -> HttpResponse:
    """Here, on loan, left or died."""
    animal = get_object_or_404(Animal, pk=pk)
    today = clock.today()
    form = StateForm(
        request.POST or None, initial=queries.state_to_show(animal, today), today=today
    )
    done = written(
        request,
        form,
        lambda: _change_state(request, animal, form),
        PLACES,
        changing=animal,
    )
    if done is not None:
        say(request, _state_words(done), done.follows)
        return redirect(asked_of_gone(done) or done.get_absolute_url())
    history = history_of(animal, request.program)
    context = {"form": form, "animal": animal, "history": history}
    return render(request, "animals/state.html", context)


def _state_words(animal: Animal) -> str:
    return later(lambda: f"{animal.name}: {animal.get_state_display()}.")


def _change_state(request: PageRequest, animal: Animal, form: StateForm) -> Animal:
    sure, reason = sure_in(request.POST), reason_in(request.POST)
    return services.change_state(
        animal, sure=sure, reason=reason, by=request.user, now=clock.now(), **form.cleaned_data
    )


@keepers_only
def measure(request: PageRequest, pk: int) -> HttpResponse:
    """Write down size and condition."""
    animal = get_object_or_404(Animal, pk=pk)
    form = MeasurementForm(request.POST or None, program=request.program, today=clock.today())
    if written(
        request,
        form,
        lambda: services.add_measurement(
            animal, by=request.user, sure=sure_in(request.POST), **form.cleaned_data
        ),
        PLACES,
    ):
        say(request, tell("{animal} is measured.", animal=animal.name))
        return redirect(animal)
    return render(request, "animals/measure.html", {"form": form, "animal": animal})
