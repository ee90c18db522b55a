"""Pages of foods: all of them, a new one, and one that is joined to another."""

from django.db.models import Count
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.feeding.forms import FoodForm
from breeding.feeding.models import Feeding, Food
from breeding.feeding.services import add_food
from breeding.program.acts.joining import joining
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.words.language import tell, tell_many


@require_safe
def foods(request: PageRequest) -> HttpResponse:
    """Every food, and in how many rounds it was given."""
    rounds = Feeding.objects.filter(withdrawn_at__isnull=True, food__isnull=False)
    counts = dict(rounds.order_by().values_list("food").annotate(Count("pk")))
    known = list(Food.every.select_related("withdrawn_by"))
    for food in known:
        food.rounds_of_it = counts.get(food.pk, 0)  # type: ignore[attr-defined]
    context = {
        "foods": [one for one in known if not one.is_withdrawn],
        "withdrawn": [one for one in known if one.is_withdrawn],
    }
    return render(request, "feeding/foods.html", context)


@keepers_only
def new_food(request: PageRequest) -> HttpResponse:
    """Write down a food."""
    form = FoodForm(request.POST or None)
    if food := written(request, form, lambda: add_food(by=request.user, **form.cleaned_data)):
        say(request, tell("The food {food} is written down.", food=food))
        return redirect(food)
    return render(request, "feeding/new_food.html", {"form": form})


@keepers_only
def join_food(request: PageRequest, pk: int) -> HttpResponse:
    """Give the rounds of a food to another, and withdraw it."""
    food = get_object_or_404(Food, pk=pk)
    form, moved = joining(request, food)
    if moved is not None:
        into = form.cleaned_data["into"]
        say(
            request,
            tell_many(
                "{number} round of {food} went to {other}.",
                "{number} rounds of {food} went to {other}.",
                moved,
                food=food,
                other=into,
            ),
        )
        return redirect(into)
    return render(request, "feeding/join_food.html", {"form": form, "food": food})
