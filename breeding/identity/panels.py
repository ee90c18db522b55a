"""What the room of identity adds to an animal's page: whether its spots are on record."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal
from breeding.identity.queries import wanted
from breeding.program import clock


def pattern_panel(request: HttpRequest, animal: Animal) -> str:
    """Whether it can be known by its spots, and how to get there; nothing for one that is gone."""
    if animal.state != Animal.State.HERE:
        return ""
    lacking = wanted([animal], clock.today())
    if animal.portrait_id is None and lacking and lacking[0].latest_on is None:
        return ""  # without any picture its page asks for one already
    context = {"animal": animal, "lacking": lacking[0] if lacking else None}
    return render_to_string("identity/_animal_panel.html", context, request)
