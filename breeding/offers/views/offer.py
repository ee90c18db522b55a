"""A sales page for whoever has its link."""

from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from breeding.animals.species.kinds import words_of_animals
from breeding.animals.species.listings import law_words
from breeding.offers import sales as selling
from breeding.program import clock
from breeding.program.queries import the_program
from breeding.sheets.contents.facts import standard_cautions
from breeding.sheets.shared.strangers import dressed, quiet, small_picture, styles


@login_not_required
@require_safe
@gzip_page
def offer(request: HttpRequest, token: str) -> HttpResponse:
    """The pups of a litter that are free at this moment, for whoever has the link."""
    page = selling.find_offer(token, today=clock.today())
    if page is None:
        return quiet()
    shown = selling.read_offer(page, the_program(), today=clock.today())
    addresses = {role: reverse("offers:picture", args=[token, role]) for role in shown.pictures}
    kinds = words_of_animals(page.litter.pups.values_list("animal", flat=True))
    context = {
        "offer": shown,
        "kinds": kinds,
        "families": [_family(one, addresses) for one in shown.families],
        "cautions": standard_cautions(kinds, ("spine", "emergency")),
        "law_words": law_words(),
        "style": styles("offers/offer"),
    }
    # Without the request: nothing on the page depends on who looks.
    return dressed(HttpResponse(render_to_string("offers/offer.html", context)))


def _family(family: selling.Family, addresses: dict[str, str]) -> dict[str, Any]:
    return {
        "facts": family.facts,
        "rows": family.rows,
        "parents": [(one.person, addresses.get(one.role, "")) for one in family.parents],
        "pups": [(one, addresses.get(one.role, "")) for one in family.pups],
    }


@login_not_required
@require_safe
def picture(request: HttpRequest, token: str, role: str) -> HttpResponseBase:
    """A picture of the page, made small and without anything but the picture."""
    page = selling.find_offer(token, today=clock.today())
    if page is None:
        return quiet()
    pups = selling.free_pups(page, asof=clock.today())
    photograph = selling.pictures_of_offer(page, pups).get(role)
    if photograph is None:
        return quiet()
    try:
        with photograph.picture.open("rb") as file:
            content = small_picture(file.read())
    except OSError:
        return quiet()
    return dressed(HttpResponse(content, content_type="image/webp"))
