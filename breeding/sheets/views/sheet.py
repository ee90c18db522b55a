"""Pages of parentage sheets: drawn up, issued, shown."""

from typing import Any

from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.buyers.services import buyer_of
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.problems.beside import written
from breeding.sheets import services, standing
from breeding.sheets.contents.draft import draft_sheet
from breeding.sheets.contents.page import sheet_page
from breeding.sheets.forms import LinkForm, SheetForm
from breeding.sheets.models import Sheet
from breeding.sheets.queries import standing_sheets
from breeding.sheets.shared import links
from breeding.sheets.shared.files import file_name, kept_file
from breeding.sheets.tables import ALL_SHEETS
from breeding.words.descent.ancestry import GENERATIONS
from breeding.words.language import tell


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Every sheet that was issued, the latest first."""
    return list_page(request, "sheets/index.html", ALL_SHEETS)


@keepers_only
def new(request: PageRequest, animal_pk: int) -> HttpResponse:
    """Look at the sheet as it would be issued today, then issue it for good."""
    animal = get_object_or_404(Animal.objects.select_related("strain", "sire", "dam"), pk=animal_pk)
    corrects = _to_correct(request, animal)
    contact = corrects.contact if corrects else buyer_of(animal)
    form = SheetForm(request.POST or None, initial={"contact": contact})
    chosen = form.cleaned_data if form.is_bound and form.is_valid() else {}
    base = links.base_of(request.build_absolute_uri("/"))
    wanted: dict[str, Any] = {
        "by": request.user,
        "on": clock.today(),
        "journey_hours": chosen.get("journey_hours"),
        "generations": chosen.get("generations") or GENERATIONS,
    }
    if "issue" in request.POST and (
        issued := written(
            request,
            form,
            lambda: services.issue_sheet(
                animal,
                contact=chosen["contact"],
                paper=chosen["paper"],
                language=chosen["language"],
                with_ancestry=chosen["with_ancestry"],
                corrects=corrects,
                base_address=base,
                **wanted,
            ),
        )
    ):
        say(request, tell("Sheet {number} is issued and kept as it is.", number=issued.number))
        return redirect(issued)
    buyer = chosen.get("contact")
    if not form.is_bound and contact:
        buyer = contact
    with services.in_language_of(buyer, chosen.get("language", ""), program=request.program):
        draft = draft_sheet(
            animal,
            program=request.program,
            is_for_buyer=bool(buyer),
            corrects=corrects.number if corrects else "",
            **wanted,
        )
    pictures = {
        key: reverse("animals:picture", args=[photograph.pk])
        for key, photograph in draft.pictures.items()
    }
    context = {
        "form": form,
        "animal": animal,
        "corrects": corrects,
        "standing": [] if corrects else standing_sheets(animal),
        "page": sheet_page(draft.facts, pictures),
        "base": base,
        "is_only_local": links.is_only_local(base),
    }
    return render(request, "sheets/new.html", context)


def _to_correct(request: PageRequest, animal: Animal) -> Sheet | None:
    """The sheet of this animal that the new one takes the place of."""
    number = request.POST.get("corrects") or request.GET.get("corrects")
    if not number:
        return None
    for one in animal.sheets.all():
        if one.number == number:
            return one
    raise Http404("There is no such sheet of this animal.")


@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """A sheet as it was issued, from what was kept and nothing else; its link for keepers."""
    issued = get_object_or_404(
        Sheet.objects.select_related("contact", "corrects", "correction", "withdrawal"), pk=pk
    )
    pictures = {
        one.role: reverse("sheets:picture", args=[issued.pk, one.role])
        for one in issued.pictures.all()
    }
    context = {
        "sheet": issued,
        "page": sheet_page(issued.issued_facts, pictures),
        "standing": standing.standing_of(issued),
        **_link_context(request, issued),
    }
    return render(request, "sheets/detail.html", context)


def _link_context(request: PageRequest, issued: Sheet) -> dict[str, Any]:
    """The address to hand out, for those who may; a viewer gives nothing away."""
    base = links.base_of(request.build_absolute_uri("/"))
    link = links.link_of(issued) if request.user.may_write else None
    return {
        "link": link,
        "link_is_good": bool(link and link.is_good(clock.today())),
        "link_address": links.address_of(link, base) if link else "",
        "is_only_local": links.is_only_local(base),
    }


@keepers_only
def link(request: PageRequest, pk: int) -> HttpResponse:
    """Renew or close the link of a sheet, or set its last day."""
    issued = get_object_or_404(Sheet.objects.select_related("animal"), pk=pk)
    context = _link_context(request, issued)
    link = context["link"]
    form = LinkForm(request.POST or None, initial={"last_day": link.last_day if link else None})
    if said := written(request, form, lambda: _change_link(request, issued, form.cleaned_data)):
        say(request, said)
        return redirect(issued)
    return render(request, "sheets/link.html", {"sheet": issued, "form": form, **context})


def _change_link(request: PageRequest, issued: Sheet, chosen: dict[str, Any]) -> str:
    if "close" in request.POST:
        links.close_link(issued, now=clock.now())
        return tell("The link is closed; the code on paper now leads nowhere.")
    if "renew" in request.POST:
        links.renew_link(issued, by=request.user, now=clock.now(), last_day=chosen["last_day"])
        return tell("There is a new link; the earlier one and the code on paper now lead nowhere.")
    links.end_link(issued, last_day=chosen["last_day"], today=clock.today())
    return tell("The last day of the link is saved.")


@require_safe
def file(request: PageRequest, pk: int) -> HttpResponseBase:
    """The file as it was issued, for those signed in."""
    issued = get_object_or_404(Sheet, pk=pk)
    return kept_file(issued.file, "application/pdf", filename=file_name(issued))


@require_safe
def picture(request: PageRequest, pk: int, role: str) -> HttpResponseBase:
    """A picture as it stood on an issued sheet, for those signed in."""
    pictures = get_object_or_404(Sheet, pk=pk).pictures.all()
    kept = {one.role: one.picture for one in pictures}.get(role)
    if kept is None:
        raise Http404("There is no such picture on this sheet.")
    return kept_file(kept, "image/jpeg")
