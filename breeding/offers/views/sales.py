"""What is offered of a litter, as the keeper sets it."""

from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from breeding.litters.models import Litter
from breeding.litters.queries import pups_of
from breeding.offers import sales as selling
from breeding.offers.forms import SalesForm, SalesLinkForm
from breeding.offers.models import SalesPage
from breeding.program import clock
from breeding.program.acts.history import history_of
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.sheets.shared import links as sheet_links
from breeding.words.language import tell


@keepers_only
def sales(request: PageRequest, litter_pk: int) -> HttpResponse:
    """Choose what is shown of a litter; make, renew, end or close the link to it."""
    litter = get_object_or_404(Litter.objects.select_related("dam"), pk=litter_pk)
    if litter.is_withdrawn and request.method != "POST":
        return redirect(litter)
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
        changing=page,
    ):
        say(request, tell("The page is saved; whoever has its link sees it so."))
        return redirect("offers:sales", litter.pk)
    if page and (
        said := written(
            request, link_form, lambda: _change_link(request, page, link_form.cleaned_data)
        )
    ):
        say(request, said)
        return redirect("offers:sales", litter.pk)
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
        "history": history_of(page, request.program) if page else [],
        "unwell": [one for one in pups if one.unwell],
        "free": selling.free_pups(page, asof=clock.today()) if page else [],
    }
    return render(request, "offers/sales.html", context)


def _change_link(request: PageRequest, page: SalesPage, chosen: dict[str, Any]) -> str:
    if "close" in request.POST:
        sheet_links.close_link(page, now=clock.now())
        return tell("The link is closed; whoever has it finds nothing.")
    if "renew" in request.POST:
        last_day = chosen["last_day"]
        if last_day is not None and last_day < clock.today():
            raise ValidationError(
                {"last_day": tell("This day is past; choose a later one, or none.")}
            )
        sheet_links.renew_link(page, by=request.user, now=clock.now(), last_day=last_day)
        return tell("There is a new link; the earlier one now leads nowhere.")
    sheet_links.end_link(page, last_day=chosen["last_day"], today=clock.today())
    return tell("The last day of the link is saved.")
