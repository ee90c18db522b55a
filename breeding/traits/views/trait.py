"""Pages of traits: all of them, one with who carries it, a new one."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.program.acts.history import history_of
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.traits.contradicting import DOUBTS, contradicting
from breeding.traits.forms import TraitForm
from breeding.traits.models import Trait, TraitLook
from breeding.traits.ranking import everyone, most_likely, rows_of
from breeding.traits.reading import reading_of
from breeding.traits.services import add_trait
from breeding.traits.standing import assumed_words, on_record
from breeding.words.language import tell

A_PAGE = 40
LOOKS_SHOWN = 20


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Every trait: how it is believed to be inherited, how well that is known, what was seen."""
    context = {
        "traits": on_record(),
        "withdrawn": list(
            Trait.every.filter(withdrawn_at__isnull=False).select_related("withdrawn_by")
        ),
    }
    return render(request, "traits/index.html", context)


@keepers_only
def new(request: PageRequest) -> HttpResponse:
    """Write down a trait."""
    form = TraitForm(request.POST or None)
    if trait := written(request, form, lambda: add_trait(by=request.user, **form.cleaned_data)):
        say(request, tell("The trait {trait} is written down.", trait=trait))
        return redirect(trait)
    return render(request, "traits/new.html", {"form": form})


@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """One trait: who shows it, who carries it by what chance, what is assumed, what cannot be."""
    trait = get_object_or_404(Trait.every.select_related("withdrawn_by", "recorded_by"), pk=pk)
    reading = reading_of(trait)
    whole = request.GET.get("who") == "all"
    keys = everyone(reading) if whole else most_likely(reading)
    page = Paginator(keys, A_PAGE).get_page(request.GET.get("page"))
    looks = TraitLook.every.filter(trait=trait).select_related(
        "animal", "trait", "recorded_by", "withdrawn_by"
    )
    context = {
        "trait": trait,
        "reading": reading,
        "contradicting": contradicting(reading),
        "doubts": DOUBTS,
        "assumed": assumed_words(trait),
        "puzzling": rows_of(reading, reading.puzzling),
        "page": page,
        "rows": rows_of(reading, page.object_list),
        "whole": whole,
        "looks": looks[:LOOKS_SHOWN],
        "history": history_of(trait, request.program),
    }
    return render(request, "traits/detail.html", context)
