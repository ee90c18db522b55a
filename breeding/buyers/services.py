"""Acts for buyers: contacts, an animal kept for somebody, and a sheet issued for good."""

import datetime
import json
from dataclasses import replace
from typing import Any, cast, get_args

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction

from breeding.animals.models import Animal
from breeding.buyers.models import Contact, Reservation, Sheet, SheetPicture
from breeding.buyers.sheet_draft import Draft, draft_sheet
from breeding.buyers.sheet_facts import SheetFacts
from breeding.buyers.sheet_pdf import Paper, SheetTooLong, render_pdf
from breeding.program.formats import long_day
from breeding.program.models import Person
from breeding.program.readings import the_program

GONE = (Animal.State.LEFT, Animal.State.DIED)
TRIES = 20  # for a number, when several people issue at the same moment


# --------------------------------------------------------------------------------------- contacts


@transaction.atomic
def add_contact(*, by: Person | None, name: str, reach: str = "", wish: str = "") -> Contact:
    """Write down somebody who buys or wants to."""
    contact = Contact(name=name.strip(), reach=reach.strip(), wish=wish.strip(), recorded_by=by)
    contact.full_clean()
    contact.save()
    return contact


@transaction.atomic
def change_contact(contact: Contact, **facts: str) -> Contact:
    """Change name, reach or wish; what is not given stays."""
    for name in facts.keys() - {"name", "reach", "wish"}:
        raise ValueError(f"A contact has no {name!r}: only name, reach and wish.")
    for name, value in facts.items():
        setattr(contact, name, value.strip())
    contact.full_clean()
    contact.save()
    return contact


# ------------------------------------------------------------------------------- kept for somebody


@transaction.atomic
def reserve_animal(
    animal: Animal,
    contact: Contact,
    *,
    by: Person | None,
    on: datetime.date,
    until: datetime.date | None = None,
    note: str = "",
) -> Reservation:
    """Keep an animal for one person until a day, or until further notice.

    Raises ValidationError when it is kept for somebody already, or is not here.
    """
    if animal.state in GONE:
        since = f" on {long_day(animal.state_on)}" if animal.state_on else ""
        raise ValidationError(
            f"{animal.name} {animal.get_state_display()}{since}; only an animal that is here or "
            "on loan can be kept for somebody."
        )
    if until is not None and until < on:
        raise ValidationError(
            {"until": f"{long_day(until)} is past; keep it until {long_day(on)} or later."}
        )
    _check_not_kept(animal)
    reservation = Reservation(
        animal=animal,
        contact=contact,
        reserved_on=on,
        until=until,
        note=note.strip(),
        recorded_by=by,
    )
    reservation.full_clean(validate_constraints=False)
    try:
        with transaction.atomic():
            reservation.save()
    except IntegrityError:  # somebody else kept it at the same moment
        _check_not_kept(animal)
        raise
    return reservation


def reservation_of(animal: Animal) -> Reservation | None:
    """The reservation that stands, if there is one."""
    kept = Reservation.objects.filter(animal=animal, withdrawn_at__isnull=True)
    return kept.select_related("contact", "animal").first()


def _check_not_kept(animal: Animal) -> None:
    other = reservation_of(animal)
    if other is not None:
        until = f" until {long_day(other.until)}" if other.until else ""
        raise ValidationError(
            f"{animal.name} is kept for {other.contact}{until}; withdraw that reservation first."
        )


# --------------------------------------------------------------------------------------- the sheet


def next_number(on: datetime.date) -> str:
    """Year and number within the year: 2026-001."""
    year = f"{on.year}-"
    taken = Sheet.objects.filter(number__startswith=year).values_list("number", flat=True)
    numbers = [int(number[len(year) :]) for number in taken if number[len(year) :].isdigit()]
    return f"{year}{max(numbers, default=0) + 1:03d}"


def issue_sheet(
    animal: Animal,
    *,
    by: Person | None,
    on: datetime.date,
    contact: Contact | None = None,
    paper: str = "a4",
    is_long_journey: bool = False,
) -> Sheet:
    """Issue a parentage sheet: numbered, its facts, pictures, tree and file kept as they are now.

    The contact is kept with the sheet and does not stand on it. It is typeset before anything is
    written, so that nobody waits for it; when somebody else takes the number meanwhile, it is
    typeset again with the next one. Raises ValidationError for another paper, and when the words
    do not fit on two pages.
    """
    if paper not in get_args(Paper):
        raise ValidationError({"paper": f"“{paper}” is no paper: {', '.join(get_args(Paper))}."})
    draft = draft_sheet(
        animal,
        program=the_program(),
        by=by,
        on=on,
        is_for_buyer=contact is not None,
        is_long_journey=is_long_journey,
    )
    pictures = _read_pictures(draft)
    for _ in range(TRIES):
        facts = replace(draft.facts, sheet_number=next_number(on))
        sheet = Sheet(
            number=facts.sheet_number,
            animal=animal,
            contact=contact,
            issued_on=on,
            issued_by=by,
            facts=_as_kept(facts),
            tree_svg=facts.tree,
            paper=paper,
        )
        if _keep(sheet, _file_of(facts, pictures, cast(Paper, paper)), pictures):
            return sheet
    raise ValidationError("Several sheets are being issued at this moment; try again.")


def _read_pictures(draft: Draft) -> dict[str, bytes]:
    found = {}
    for key, photograph in draft.pictures.items():
        with photograph.picture.open("rb") as file:
            found[key] = file.read()
    return found


def _as_kept(facts: SheetFacts) -> dict[str, Any]:
    """Plain values for the column; the tree has a column of its own."""
    kept: dict[str, Any] = json.loads(replace(facts, tree="").to_json())
    return kept


def _file_of(facts: SheetFacts, pictures: dict[str, bytes], paper: Paper) -> bytes:
    try:
        return render_pdf(facts, pictures, paper=paper)
    except SheetTooLong as problem:
        raise ValidationError(str(problem)) from None


def _keep(sheet: Sheet, content: bytes, pictures: dict[str, bytes]) -> bool:
    """Write everything or nothing; False when the number was taken meanwhile."""
    written = []
    try:
        with transaction.atomic():
            sheet.file.save(f"{sheet.number}.pdf", ContentFile(content), save=False)
            written.append(sheet.file)
            sheet.save(force_insert=True)
            for role, picture in pictures.items():
                kept = SheetPicture(sheet=sheet, role=role)
                kept.picture.save(f"{sheet.number}-{role}.jpg", ContentFile(picture), save=False)
                written.append(kept.picture)
                kept.save()
    except Exception as problem:
        for file in written:
            file.delete(save=False)
        if isinstance(problem, IntegrityError) and _is_taken(sheet.number):
            return False
        raise
    return True


def _is_taken(number: str) -> bool:
    return Sheet.objects.filter(number=number).exists()
