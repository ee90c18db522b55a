"""A lineage that cannot be, written around the tool: a page names the animals and leads to them."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.program import clock
from breeding.program.kept import store
from breeding.program.kept.device import is_by_script
from breeding.program.views.trouble import not_just_now
from breeding.words.language import tell
from breeding.words.numbers import joined
from pedigree import LineageLoop, UnknownAnimal

Answer = Callable[[HttpRequest], HttpResponse]


@dataclass(frozen=True)
class Link:
    """One animal of a chain: what is wrong with its parents, and where that is put right."""

    animal: Animal
    words: str

    @property
    def address(self) -> str:
        if self.animal.is_withdrawn:
            return reverse("program:withdraw", args=["animal", self.animal.pk])
        return reverse("animals:edit", args=[self.animal.pk])


class BrokenLineageMiddleware:
    """Every page that needs the lineage says what is wrong with it; those that mend it do not."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if isinstance(error, LineageLoop):
            heading, chain = loop_words(error)
        elif isinstance(error, UnknownAnimal) and error.named_by is not None:
            heading, chain = unknown_words(error)
        else:
            return None
        if not request.user.is_authenticated:
            return not_just_now(request)
        kept = request.method == "POST" and not is_by_script(request)
        context = {
            "heading": heading,
            "chain": chain,
            "was_sent": request.method == "POST",
            "is_kept": kept and store.keep(request, now=clock.now()) is not None,
        }
        return render(request, "animals/broken_lineage.html", context, status=409)


def loop_words(found: LineageLoop) -> tuple[str, list[Link]]:
    """Who is among whose ancestors; each with the parent that leads on to the next."""
    named = Animal.every.in_bulk(set(found.loop))
    chain = [named[key] for key in found.loop]
    links = [Link(one, _part(one, parent)) for one, parent in pairwise(chain)]
    names = joined([one.name for one in chain[:-1]])
    heading = tell(
        "{animal} is among its own ancestors ({names})", animal=chain[0].name, names=names
    )
    return heading, links


def unknown_words(found: UnknownAnimal) -> tuple[str, list[Link]]:
    """Who names a parent that counts no more."""
    named = Animal.every.in_bulk({found.animal, found.named_by})
    young, parent = named[found.named_by], named.get(found.animal)
    if parent is None:
        heading = tell("A parent of {young} is not on record", young=young.name)
        return heading, [Link(young, tell("its parents"))]
    links = [Link(young, _part(young, parent)), Link(parent, tell("withdrawn"))]
    heading = tell(
        "{parent}, a parent of {young}, is withdrawn", parent=parent.name, young=young.name
    )
    return heading, links


def _part(young: Animal, parent: Animal) -> str:
    if parent.pk == young.sire_id:
        return tell("sire {animal}", animal=parent.full_name)
    if parent.pk == young.dam_id:
        return tell("dam {animal}", animal=parent.full_name)
    return tell("possible sire {animal}", animal=parent.full_name)
