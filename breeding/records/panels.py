"""What the room `records` adds to an animal's page."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal
from breeding.program import clock
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.page import chronicle_of

LATEST = 4


def chronicle_panel(request: HttpRequest, animal: Animal) -> str:
    """What was last written of it, and the way to all of it."""
    told = chronicle_of(
        Asked(
            may_write=request.user.may_write,  # type: ignore[union-attr]
            sees_buyers=request.user.may_see_buyers,  # type: ignore[union-attr]
            animals=(animal,),
        ),
        program=request.program,  # type: ignore[attr-defined]
        today=clock.today(),
        most=LATEST,
    )
    return render_to_string("records/_animal_panel.html", {"animal": animal, "told": told}, request)
