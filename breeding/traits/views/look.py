"""Pages on which it is written down what was seen of a trait: of one animal, of a litter."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from breeding.animals.models import Animal
from breeding.litters.models import Litter
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.traits.forms import BY_EYE, TESTED, LitterLooksForm, LookForm
from breeding.traits.models import Trait, TraitLook
from breeding.traits.services import write_look, write_looks
from breeding.words.language import tell, tell_many


@keepers_only
def look(request: PageRequest) -> HttpResponse:
    """Write down what one animal shows of a trait, or what a test said."""
    today = clock.today()
    traits = list(Trait.objects.all())
    asked = _asked(request, traits)
    form = LookForm(
        request.POST or None,
        today=today,
        initial={"animal": request.GET.get("animal"), "trait": asked.pk if asked else None},
    )
    found = written(
        request, form, lambda: write_look(today=today, by=request.user, **form.cleaned_data)
    )
    if found is not None:
        said = tell(
            "Written: {animal}, {trait}: {seen}.",
            animal=found.animal.name,
            trait=found.trait,
            seen=found.get_what_display(),
        )
        say(request, said)
        return redirect(found.animal)
    chosen = str(form["animal"].value() or "")
    twice = [TraitLook.Seen.TWICE] if _any_codominant(traits) else []
    context = {
        "form": form,
        "traits": traits,
        "trait": str(form["trait"].value() or ""),
        "animal": _animal(chosen),
        "by_eye": [(one.value, one.label) for one in (BY_EYE[0], *twice, *BY_EYE[1:])],
        "tested": [(one.value, one.label) for one in TESTED],
    }
    return render(request, "traits/look.html", context)


def _asked(request: PageRequest, traits: list[Trait]) -> Trait | None:
    """The trait that the address names, else the only one there is."""
    asked = request.GET.get("trait", "")
    named = [one for one in traits if str(one.pk) == asked]
    return named[0] if named else traits[0] if len(traits) == 1 else None


def _any_codominant(traits: list[Trait]) -> bool:
    return any(one.inheritance == Trait.Inheritance.CODOMINANT for one in traits)


def _animal(chosen: str) -> Animal | None:
    if not chosen.isdecimal() or len(chosen) > 12:
        return None
    return Animal.objects.filter(pk=chosen).select_related("portrait").first()


@keepers_only
def litter(request: PageRequest, pk: int) -> HttpResponse:
    """What each young of a litter shows of one trait, in one table."""
    litter = get_object_or_404(Litter.objects.select_related("dam"), pk=pk)
    today = clock.today()
    traits = list(Trait.objects.all())
    trait = _asked(request, traits) or next(iter(traits), None)
    pups = litter.pups.filter(animal__isnull=False).select_related("animal__portrait")
    animals = [pup.animal for pup in pups if pup.animal is not None]
    context = {"litter": litter, "traits": traits, "trait": trait, "form": None}
    if trait is None or not animals or litter.is_withdrawn:
        return render(request, "traits/litter.html", context)
    form = LitterLooksForm(
        request.POST or None,
        animals=animals,
        known=_known(trait, animals),
        codominant=trait.inheritance == Trait.Inheritance.CODOMINANT,
        today=today,
    )
    kept = written(
        request,
        form,
        lambda: write_looks(
            trait, form.changed, on=form.cleaned_data["on"], today=today, by=request.user
        ),
    )
    if kept is not None:
        said = tell_many(
            "Written: {trait} of {number} young of litter {code}.",
            "Written: {trait} of {number} young of litter {code}.",
            len(kept),
            trait=trait,
            code=litter.code,
        )
        say(request, said)
        return redirect(litter)
    return render(request, "traits/litter.html", context | {"form": form})


def _known(trait: Trait, animals: list[Animal]) -> dict[int, str]:
    """What was seen last on each, by eye."""
    looks = TraitLook.objects.filter(trait=trait, animal__in=animals).order_by("on", "pk")
    rows = looks.exclude(what__startswith="copies_").values_list("animal_id", "what")
    return dict(rows)
