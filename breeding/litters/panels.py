"""What the litters' room adds to an animal's page: the litter that it is of, and her births."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal
from breeding.animals.parents.parentage import is_too_young
from breeding.litters.births.joining import DAYS_APART
from breeding.litters.births.under_way import birth_under_way
from breeding.litters.contradictions import contradiction_of
from breeding.litters.models import Litter, Pup, Verdict
from breeding.litters.raising.lagging import lag_beside
from breeding.program import clock

VERDICTS_SHOWN = 10


def litter_panel(request: HttpRequest, animal: Animal) -> str:
    """Its litter and mates, and where the two contradict each other; or the one it may be of."""
    mates = _mates_of(animal)
    pup = next((one for one in mates if one.animal_id == animal.pk), None)
    if pup is None:
        litter = _may_be_of(animal)
        if litter is None:
            return ""
        about = {"animal": animal, "litter": litter}
        return render_to_string("litters/_may_be_of_panel.html", about, request)
    pup.animal = animal
    context = {
        "animal": animal,
        "pup": pup,
        "number": len(mates),
        "contradiction": contradiction_of(pup),
        "lag": lag_beside(mates, animal, asof=clock.today(), program=request.program),  # type: ignore[attr-defined]
    }
    return render_to_string("litters/_litter_panel.html", context, request)


def _mates_of(animal: Animal) -> list[Pup]:
    """The pups of the litter that counts it, itself among them: one query."""
    own = Pup.objects.filter(animal=animal, litter__withdrawn_at__isnull=True)
    mates = Pup.objects.filter(litter__in=own.values("litter"))
    return list(mates.select_related("animal", "litter__dam", "litter__outcome"))


def birth_panel(request: HttpRequest, animal: Animal) -> str:
    """Of a grown female that is here: one tap to her birth, or on with the one under way."""
    today = clock.today()
    if animal.sex != Animal.Sex.FEMALE or not animal.is_here or is_too_young(animal, today):
        return ""
    context = {"animal": animal, "under_way": birth_under_way(animal, on=today)}
    return render_to_string("litters/_birth_panel.html", context, request)


def verdict_panel(request: HttpRequest, animal: Animal) -> str:
    """What was decided of it, the latest first; nothing for one of whom nothing ever was."""
    found = Verdict.every.filter(animal=animal).select_related("withdrawn_by", "recorded_by")
    rows = list(found[:VERDICTS_SHOWN])
    if not rows:
        return ""
    standing = next((one for one in rows if not one.is_withdrawn), None)
    context = {"animal": animal, "verdicts": rows, "standing": standing}
    return render_to_string("litters/_verdict_panel.html", context, request)


def _may_be_of(animal: Animal) -> Litter | None:
    """A litter of its dam's, of its own day of birth, that does not count it as a pup."""
    if animal.dam_id is None or animal.born_on is None or animal.born_precision != "day":
        return None
    litters = Litter.objects.filter(dam=animal.dam_id, withdrawn_at__isnull=True)
    near = [one for one in litters if abs((one.born_on - animal.born_on).days) <= DAYS_APART]
    return near[0] if near else None
