"""Pages of the buyers' room: contacts, what is kept for them, and parentage sheets."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.buyers import readings, services
from breeding.buyers.forms import ContactForm, ReservationForm, SheetForm
from breeding.buyers.models import Contact, Reservation, Sheet, SheetPicture
from breeding.buyers.sheet_draft import draft_sheet
from breeding.buyers.sheet_page import sheet_page
from breeding.program import clock
from breeding.program.decorators import keepers_only
from breeding.program.forms import WithdrawForm
from breeding.program.problems import add_problems
from breeding.program.requests import PageRequest
from breeding.program.services import withdraw as withdraw_record


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Contacts, what is kept for whom, and the sheets handed out."""
    sheets = readings.issued_sheets()
    context = {
        "contacts": list(readings.contacts_with_counts()),
        "reservations": list(readings.open_reservations()),
        "sheets": list(sheets[: readings.SHEETS_SHOWN]),
        "sheet_count": sheets.count(),
    }
    return render(request, "buyers/index.html", context)


@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """One contact: what they wish for, what is kept for them, what they were given."""
    contact = get_object_or_404(Contact.objects.select_related("recorded_by"), pk=pk)
    reservations = contact.reservations.select_related("animal", "withdrawn_by")
    context = {
        "contact": contact,
        "kept": [one for one in reservations if not one.is_withdrawn],
        "withdrawn": [one for one in reservations if one.is_withdrawn],
        "sheets": list(readings.issued_sheets().filter(contact=contact)),
    }
    return render(request, "buyers/detail.html", context)


@keepers_only
def new(request: PageRequest) -> HttpResponse:
    """Write down a contact."""
    form = ContactForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        contact = services.add_contact(by=request.user, **form.cleaned_data)
        messages.success(request, f"{contact} is written down.")
        return redirect(contact)
    return render(request, "buyers/new.html", {"form": form})


@keepers_only
def edit(request: PageRequest, pk: int) -> HttpResponse:
    """Change a contact."""
    contact = get_object_or_404(Contact, pk=pk)
    form = ContactForm(request.POST or None, instance=contact)
    if request.method == "POST" and form.is_valid():
        services.change_contact(contact, **form.cleaned_data)
        messages.success(request, f"{contact} is saved.")
        return redirect(contact)
    return render(request, "buyers/edit.html", {"form": form, "contact": contact})


@keepers_only
def reserve(request: PageRequest, animal_pk: int) -> HttpResponse:
    """Keep an animal for one person until a day."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    form = ReservationForm(request.POST or None, initial={"contact": request.GET.get("contact")})
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        name = facts.pop("new_name")
        try:
            with transaction.atomic():
                if facts["contact"] is None:
                    facts["contact"] = services.add_contact(by=request.user, name=name)
                services.reserve_animal(animal, on=clock.today(), by=request.user, **facts)
        except ValidationError as problem:
            add_problems(form, problem)
        else:
            messages.success(request, f"{animal.name} is kept for {facts['contact']}.")
            return redirect(animal)
    kept = services.reservation_of(animal)
    return render(request, "buyers/reserve.html", {"form": form, "animal": animal, "kept": kept})


@keepers_only
def withdraw(request: PageRequest, pk: int) -> HttpResponse:
    """Withdraw a reservation with the reason; the animal is free again."""
    found = get_object_or_404(Reservation.objects.select_related("animal", "contact"), pk=pk)
    form = WithdrawForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            withdraw_record(
                found, by=request.user, now=clock.now(), reason=form.cleaned_data["reason"]
            )
        except ValidationError as problem:
            add_problems(form, problem)
        else:
            messages.success(request, f"{found.animal.name} is free again.")
            return redirect(found.contact)
    return render(request, "buyers/withdraw.html", {"form": form, "reservation": found})


@keepers_only
def sheet_new(request: PageRequest, animal_pk: int) -> HttpResponse:
    """Look at the sheet as it would be issued today, then issue it for good."""
    animal = get_object_or_404(Animal.objects.select_related("strain"), pk=animal_pk)
    kept = services.reservation_of(animal)
    form = SheetForm(request.POST or None, initial={"contact": kept and kept.contact_id})
    today = clock.today()
    chosen = form.cleaned_data if form.is_bound and form.is_valid() else {}
    is_long_journey = chosen.get("journey") == "long"
    if chosen and "issue" in request.POST:
        try:
            issued = services.issue_sheet(
                animal,
                by=request.user,
                on=today,
                contact=chosen["contact"],
                paper=chosen["paper"],
                is_long_journey=is_long_journey,
            )
        except ValidationError as problem:
            add_problems(form, problem)
        else:
            messages.success(request, f"Sheet {issued.number} is issued and kept as it is.")
            return redirect(issued)
    draft = draft_sheet(
        animal,
        program=request.program,
        by=request.user,
        on=today,
        is_for_buyer=bool(chosen.get("contact") or (not form.is_bound and kept)),
        is_long_journey=is_long_journey,
    )
    pictures = {
        key: reverse("animals:picture", args=[photograph.pk])
        for key, photograph in draft.pictures.items()
    }
    page = sheet_page(draft.facts, pictures)
    return render(request, "buyers/sheet_new.html", {"form": form, "animal": animal, "page": page})


@require_safe
def sheet(request: PageRequest, pk: int) -> HttpResponse:
    """A sheet as it was issued, from what was kept and nothing else."""
    issued = get_object_or_404(Sheet.objects.select_related("contact"), pk=pk)
    pictures = {
        one.role: reverse("buyers:sheet_picture", args=[issued.pk, one.role])
        for one in issued.pictures.all()
    }
    page = sheet_page(issued.issued_facts, pictures)
    return render(request, "buyers/sheet.html", {"sheet": issued, "page": page})


@require_safe
def sheet_file(request: PageRequest, pk: int) -> HttpResponseBase:
    """The file as it was issued, for those signed in."""
    issued = get_object_or_404(Sheet, pk=pk)
    name = slugify(issued.issued_facts.animal.shown_name)
    return _file(
        issued.file,
        content_type="application/pdf",
        filename=f"parentage-sheet-{issued.number}{f'-{name}' if name else ''}.pdf",
    )


@require_safe
def sheet_picture(request: PageRequest, pk: int, role: str) -> HttpResponseBase:
    """A picture as it stood on an issued sheet, for those signed in."""
    kept = get_object_or_404(SheetPicture, sheet=get_object_or_404(Sheet, pk=pk), role=role)
    return _file(kept.picture, content_type="image/jpeg")


def _file(field: FieldFile, content_type: str, filename: str = "") -> HttpResponseBase:
    try:
        response = FileResponse(field.open("rb"), content_type=content_type, filename=filename)
    except FileNotFoundError:
        raise Http404("The file that was kept with this sheet is missing.") from None
    response.headers["Cache-Control"] = "private, max-age=604800, immutable"
    return response
