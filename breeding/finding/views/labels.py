"""Cards for tanks and animals, to print."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.finding.cards.card import cards_of, is_reached_by_phones
from breeding.finding.cards.forms import CHOSEN, CardsForm
from breeding.finding.cards.grids import BY_KEY
from breeding.finding.cards.pdf import render_cards
from breeding.housing.models import Tank
from breeding.program import clock
from breeding.program.fields import read_whole
from breeding.program.frame.requests import PageRequest
from breeding.sheets.shared.links import base_of


@require_safe
def labels(request: PageRequest) -> HttpResponse:
    """Whom for, on which labels; asked for with that, the sheets themselves."""
    base = base_of(request.build_absolute_uri("/"))
    base = base if is_reached_by_phones(base) else ""
    is_asked = "whom" in request.GET
    form = CardsForm(request.GET) if is_asked else CardsForm(initial=_begun(request))
    if is_asked and form.is_valid():
        facts = form.cleaned_data
        content = render_cards(
            cards_of(facts["things"]),
            BY_KEY[facts["sheet"]],
            first=facts["first"],
            base=base,
            program_name=request.program.name,
            on=clock.today(),
            with_lines=facts["lines"],
        )
        return HttpResponse(
            content,
            content_type="application/pdf",
            headers={"Content-Disposition": 'inline; filename="cards.pdf"'},
        )
    page = {"form": form, "base": base}
    return render(request, "finding/labels.html", page, status=422 if is_asked else 200)


def _begun(request: PageRequest) -> dict[str, str]:
    """Filled in with the animal or tank whose page led here."""
    for name, model in (("animal", Animal), ("of_tank", Tank)):
        key = read_whole(request.GET.get(name, ""))
        one = model._base_manager.filter(pk=key).first() if key else None
        if isinstance(one, Animal):
            return {"whom": CHOSEN, "named": one.code}
        if isinstance(one, Tank):
            return {"whom": CHOSEN, "named": one.name}
    return {}
