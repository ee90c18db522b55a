"""What the room `sheets` adds to the pages of animals, contacts and buyers."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal
from breeding.animals.queries import is_of_this_year
from breeding.buyers.models import Contact
from breeding.program import clock
from breeding.sheets.queries import SHEETS_SHOWN, issued_sheets


def sheets_of_animal(request: HttpRequest, animal: Animal) -> str:
    """Its sheets, and the way to another."""
    context = {
        "animal": animal,
        "sheets": list(issued_sheets().filter(animal=animal)),
        "is_young": is_of_this_year(animal, clock.today()),
    }
    return render_to_string("sheets/_animal_panel.html", context, request)


def sheets_of_contact(request: HttpRequest, contact: Contact) -> str:
    """The sheets that went to them."""
    context = {"contact": contact, "sheets": list(issued_sheets().filter(contact=contact))}
    return render_to_string("sheets/_contact_panel.html", context, request)


def latest_sheets(request: HttpRequest, _: None) -> str:
    """The latest of all sheets, and how many there are."""
    sheets = issued_sheets()
    context = {"sheets": list(sheets[:SHEETS_SHOWN]), "sheet_count": sheets.count()}
    return render_to_string("sheets/_latest_panel.html", context, request)
