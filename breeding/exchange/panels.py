"""What the room of exchange adds to other pages: from whose word one is known; keys; proof."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal
from breeding.exchange.models import KnownAs, SaidOne
from breeding.identity.alike import Alike
from breeding.identity.models import PatternReading


def ancestry_panel(request: HttpRequest, animal: Animal) -> str:
    """From whose signed word it comes, and the way to give its ancestry."""
    names = KnownAs.objects.filter(animal=animal, taken__withdrawn_at__isnull=True)
    context = {"animal": animal, "names": list(names.select_related("taken").order_by("-pk")[:3])}
    context["said"] = list(SaidOne.objects.filter(kept=animal).select_related("gone")[:3])
    return render_to_string("exchange/_animal_panel.html", context, request)


def keys_panel(request: HttpRequest, _: object) -> str:
    """The way to renew the key, and to what was said of it."""
    return render_to_string("exchange/_keys_panel.html", {}, request)


def one_animal_panel(request: HttpRequest, alike: Alike) -> str:
    """The way to say that two that look alike are one; the one that is here stays."""
    kept, gone = sorted((alike.animal, alike.other), key=lambda one: (not one.is_here, one.pk))
    context = {"kept": kept, "gone": gone, "cannot": gone.is_here}
    return render_to_string("exchange/_one_animal_panel.html", context, request)


def proof_panel(request: HttpRequest, pattern: PatternReading) -> str:
    """The way to hold a picture against a sheet."""
    return render_to_string("exchange/_proof_panel.html", {"pattern": pattern}, request)
