"""Litters among what was brought in: offered by dam and day, made with one tap."""

from django.core.paginator import Paginator
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import redirect, render

from breeding.litters.births.found import FoundLitter, Made, found_litters, make_litters
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.words.language import sentences, tell, tell_many

A_PAGE = 50


@keepers_only
def found(request: PageRequest) -> HttpResponse:
    """Young of one dam and day that stand in no litter; each group, or all, becomes one."""
    groups = found_litters()
    form = Form(request.POST or None)
    chosen = _chosen(groups, request.POST.get("make", ""))
    made = written(
        request, form, lambda: make_litters(chosen, today=clock.today(), by=request.user)
    )
    if made is not None:
        say(request, _made_words(made))
        return redirect(made.litters[0] if len(groups) == 1 else "litters:found")
    context = {
        "form": form,
        "page": Paginator(groups, A_PAGE).get_page(request.GET.get("page")),
        "can_be_made": sum(one.near is None for one in groups),
    }
    return render(request, "litters/found.html", context)


def _chosen(groups: list[FoundLitter], word: str) -> list[FoundLitter]:
    """The group of a button, or all that can be made; those gone meanwhile are none."""
    free = [one for one in groups if one.near is None]
    return free if word == "all" else [one for one in free if one.key == word]


def _made_words(made: Made) -> str:
    codes = ", ".join(litter.code for litter in made.litters[:6])
    number, more = len(made.litters), len(made.litters) - 6
    if more > 0:
        said = tell(
            "{number} litters made of young on record: {codes} and {more} more.",
            number=number,
            codes=codes,
            more=more,
        )
    else:
        said = tell_many(
            "{number} litter made of young on record: {codes}.",
            "{number} litters made of young on record: {codes}.",
            number,
            codes=codes,
        )
    if made.refused:
        said += " " + tell("Not made: {refused}", refused=sentences(*made.refused[:2]))
    return said
