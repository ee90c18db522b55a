"""What the room of traits adds to pages: of an animal, of a litter, of two animals."""

from typing import Any

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal
from breeding.litters.models import Litter
from breeding.program import clock
from breeding.traits.contradicting import contradicting
from breeding.traits.models import Trait, TraitLook
from breeding.traits.pairs import pair_said
from breeding.traits.ranking import row_of
from breeding.traits.reading import reading_of
from breeding.traits.standing import traits_of

LOOKS_SHOWN = 40


def animal_panel(request: HttpRequest, animal: Animal) -> str:
    """What it is of each trait, and what was seen; nothing where no trait is on record."""
    looks = TraitLook.every.filter(animal=animal).select_related(
        "trait", "animal", "recorded_by", "withdrawn_by"
    )
    seen = list(looks[:LOOKS_SHOWN])
    found = traits_of(animal, [one for one in seen if not one.is_withdrawn])
    withdrawn = [one for one in seen if one.is_withdrawn]
    if not found and not withdrawn and not Trait.objects.exists():
        return ""
    context = {"animal": animal, "traits": found, "withdrawn": withdrawn}
    return render_to_string("traits/_animal_panel.html", context, request)


def litter_panel(request: HttpRequest, litter: Litter) -> str:
    """What its young are of each trait; nothing where no trait is on record."""
    traits = list(Trait.objects.all())
    if not traits or litter.is_withdrawn:
        return ""
    pups = litter.pups.filter(animal__isnull=False).select_related("animal")
    animals = [pup.animal for pup in pups if pup.animal is not None]
    if not animals:
        return ""
    found = []
    for trait in traits:
        reading = reading_of(trait)
        rows = [row_of(reading, one) for one in animals]
        known = any(not reading.says_nothing_of(one.pk) for one in animals)
        found.append((trait, rows if known else [], contradicting(reading)))
    context = {"litter": litter, "traits": found}
    return render_to_string("traits/_litter_panel.html", context, request)


def pair_panel(request: HttpRequest, report: Any) -> str:
    """What young of the two would be of each trait of which something was seen."""
    if report is None:
        return ""
    sire, dam = report.male.animal, report.female.animal
    found = pair_said(sire, dam, today=clock.today())
    if not found:
        return ""
    context = {"traits": found, "sire": sire, "dam": dam}
    return render_to_string("traits/_pair_panel.html", context, request)
