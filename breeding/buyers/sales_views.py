"""The sales page of a litter: chosen by keepers, shown to whoever has its link."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from breeding.buyers import sales as selling
from breeding.buyers import sheet_links
from breeding.buyers.listings import law_words
from breeding.buyers.models import SalesPage
from breeding.buyers.sale_forms import SalesForm, SalesLinkForm
from breeding.buyers.shared_views import dressed, quiet, small_picture, styles
from breeding.litters.models import Litter
from breeding.litters.readings import pups_of
from breeding.program import clock
from breeding.program.decorators import keepers_only
from breeding.program.problems import written
from breeding.program.readings import the_program
from breeding.program.requests import PageRequest


@keepers_only
def sales(request: PageRequest, litter_pk: int) -> HttpResponse:
    """Choose what is shown of a litter; make, renew, end or close the link to it."""
    litter = get_object_or_404(Litter.objects.select_related("dam"), pk=litter_pk)
    page = SalesPage.objects.filter(litter=litter).first()
    link = sheet_links.link_of(page) if page else None
    pups = [
        one for one in pups_of([litter], asof=clock.today()).get(litter.pk, []) if one.pup.animal
    ]
    about = request.POST if "save" in request.POST else None
    form = SalesForm(about, litter=litter, page=page, pups=pups)
    wanted = request.POST if request.method == "POST" and "save" not in request.POST else None
    link_form = SalesLinkForm(wanted, initial={"last_day": link.last_day if link else None})
    if written(
        request,
        form,
        lambda: selling.change_sales_page(litter, by=request.user, **form.cleaned_data),
    ):
        messages.success(request, "The page is saved; whoever has its link sees it so.")
        return redirect("buyers:sales", litter.pk)
    if page and (
        said := written(
            request, link_form, lambda: _change_link(request, page, link_form.cleaned_data)
        )
    ):
        messages.success(request, said)
        return redirect("buyers:sales", litter.pk)
    base = sheet_links.base_of(request.build_absolute_uri("/"))
    context = {
        "litter": litter,
        "page": page,
        "form": form,
        "link_form": link_form,
        "link": link,
        "link_is_good": bool(link and link.is_good(clock.today())),
        "link_address": sheet_links.address_of(link, base) if link else "",
        "is_only_local": sheet_links.is_only_local(base),
        "free": selling.free_pups(page, asof=clock.today()) if page else [],
    }
    return render(request, "buyers/sales.html", context)


def _change_link(request: PageRequest, page: SalesPage, chosen: dict[str, Any]) -> str:
    if "close" in request.POST:
        sheet_links.close_link(page, now=clock.now())
        return "The link is closed; whoever has it finds nothing."
    if "renew" in request.POST:
        last_day = chosen["last_day"]
        if last_day is not None and last_day < clock.today():
            raise ValidationError({"last_day": "This day is past; choose a later one, or none."})
        sheet_links.renew_link(page, by=request.user, now=clock.now(), last_day=last_day)
        return "There is a new link; the one before leads nowhere now."
    sheet_links.end_link(page, last_day=chosen["last_day"], today=clock.today())
    return "The last day of the link is saved."


@login_not_required
@require_safe
@gzip_page
def offer(request: HttpRequest, token: str) -> HttpResponse:
    """The pups of a litter that are free at this moment, for whoever has the link."""
    page = selling.find_offer(token, today=clock.today())
    if page is None:
        return quiet()
    shown = selling.read_offer(page, the_program(), today=clock.today())
    addresses = {
        role: reverse("buyers:offer_picture", args=[token, role]) for role in shown.pictures
    }
    context = {
        "offer": shown,
        "families": [_family(one, addresses) for one in shown.families],
        "law_words": law_words(),
        "style": styles("offer"),
    }
    # Without the request: nothing on the page depends on who looks.
    return dressed(HttpResponse(render_to_string("buyers/offer.html", context)))


def _family(family: selling.Family, addresses: dict[str, str]) -> dict[str, Any]:
    return {
        "facts": family.facts,
        "rows": family.rows,
        "parents": [(one.person, addresses.get(one.role, "")) for one in family.parents],
        "pups": [(one, addresses.get(one.role, "")) for one in family.pups],
    }


@login_not_required
@require_safe
def offer_picture(request: HttpRequest, token: str, role: str) -> HttpResponseBase:
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
