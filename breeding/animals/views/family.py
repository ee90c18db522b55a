"""The family of an animal, walked from one to the next."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from breeding.animals.family import family_of
from breeding.animals.models import Animal
from breeding.animals.pictures.trees import tree_svg
from breeding.program.frame.requests import PageRequest

GENERATIONS = 2
COLUMNS = 4  # side by side on a phone


@require_safe
def family(request: PageRequest, pk: int) -> HttpResponse:
    """Parents above, littermates and mates beside, young below; each leads to its own family."""
    animal = get_object_or_404(Animal.objects.select_related("sire", "dam"), pk=pk)
    tree = tree_svg(
        animal,
        generations=GENERATIONS,
        most_columns=COLUMNS,
        address="animals:family",
        own_address="animals:detail",
    )
    context = {"animal": animal, "tree": tree, "family": family_of(animal)}
    return render(request, "animals/family.html", context)
