"""What the room of exchange adds to an animal's page: from whose word it is known."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal
from breeding.exchange.models import KnownAs


def ancestry_panel(request: HttpRequest, animal: Animal) -> str:
    """From whose signed word it comes, and the way to give its ancestry."""
    names = KnownAs.objects.filter(animal=animal, taken__withdrawn_at__isnull=True)
    context = {"animal": animal, "names": list(names.select_related("taken").order_by("-pk")[:3])}
    return render_to_string("exchange/_animal_panel.html", context, request)
