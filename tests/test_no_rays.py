"""No page speaks of rays, their discs or spines where the program keeps other animals."""

import html
import re
from contextlib import closing

import pytest
from auditlog.models import LogEntry
from django.test import Client

from breeding.animals import revisions
from breeding.animals.models import Profile, ProfileFigure, Species
from breeding.animals.species.adding import add_species, blank_start
from breeding.sheets.models import Sheet
from tests.everything import everything
from tests.routes import ROUTES, address, leading

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how pages speak of the animals")]

OF_RAYS = re.compile(r"\brays?\b|stingray|disc width|\bspines?\b", re.IGNORECASE)
SEEN = re.compile(r'\b(?:alt|title|aria-label|placeholder|value)="([^"]*)"')
UNSEEN = re.compile(r"<(script|style|template)\b.*?</\1>|<!--.*?-->", re.DOTALL)
NAME = "Lantern Street Rays"  # what the people of the tests call their program
# Pages that may, each with its reason.
MAY = {
    "animals:new_species": "asks whether a new species has a spine",
    "program:change": "asks whether a species has a spine",
    "records:columns": "the columns that a table may bring, by the words of the import",
    "records:index": "the columns that a table may bring, by the words of the import",
}


def visible(text: str) -> str:
    text = UNSEEN.sub(" ", text)
    read = " ".join(SEEN.findall(text))
    told = html.unescape(re.sub(r"<[^>]*>", " ", text) + " " + read)
    return " ".join(told.replace(NAME, "").split())


@pytest.fixture(scope="module")
def fish_keeper(kept_for_the_file):
    """The owner of a program whose only species were written down on screen, both fish."""
    Species.every.all().delete()
    Profile.objects.filter(for_hybrids=False, for_unknown=False).delete()
    ProfileFigure.objects.update(source="assumption")  # what a source is quoted with is not ours
    LogEntry.objects.all().delete()  # what was written of the rays before
    for name in ("Lanternus minimus", "Lanternus magnus"):
        add_species(by=None, start=blank_start(), typed={}, length_unit="cm", accepted_name=name)
    return everything("lanternus-minimus", "lanternus-magnus")


@pytest.fixture
def as_fish_keeper(fish_keeper):
    client = Client()
    client.force_login(fish_keeper)
    return client


def pages(client):
    """The text of every page there is, with its address and route."""
    for route, parts in ROUTES:
        for number in (1, 2) if parts else (1,):
            for token in leading(parts) or ("x",):
                with closing(client.get(address(route, parts, number, token))) as page:
                    if page.status_code == 200 and "html" in page.headers["Content-Type"]:
                        yield route, page.request["PATH_INFO"], visible(page.content.decode())


def test_no_page_of_a_program_of_other_animals_speaks_of_rays(as_fish_keeper):
    found, seen = [], set()
    for route, path, text in pages(as_fish_keeper):
        seen.add(route)
        for one in OF_RAYS.finditer(text):
            if route not in MAY:
                found.append(f"{path}: …{text[max(0, one.start() - 40) : one.end() + 40]}…")
    assert len(seen) > 70
    assert found == [], "\n".join(["", *dict.fromkeys(found)])


def test_the_sheet_of_another_animal_warns_of_no_spine_and_of_the_law(fish_keeper):
    sheet = Sheet.objects.get()
    said = str(sheet.facts)
    assert OF_RAYS.search(said.replace(NAME, "")) is None
    assert "Standard length" in [row[0] for row in sheet.issued_facts.rows]
    assert "Ask the authority where you live before you buy, sell or move this animal" in said
    assert "A fish that stays off its food" in said


def test_the_care_page_keeps_the_law_and_what_holds_for_all(as_fish_keeper):
    text = visible(as_fish_keeper.get("/care/").content.decode())
    assert "Keeping, selling and moving freshwater fish is restricted or forbidden" in text
    assert "Release nothing into the wild." in text
    assert re.search(r"\bsting", text) is None


def test_where_rays_and_others_are_kept_pages_say_animals_and_warn_of_the_spine(as_fish_keeper):
    magnus = Species.objects.filter(accepted_name="Lanternus magnus")
    magnus.update(kind_one="ray", kind_many="rays", has_spine=True)
    revisions.figures_changed()
    text = visible(as_fish_keeper.get("/care/").content.decode())
    assert "The tail carries a venomous, barbed spine." in text
    assert "Keeping, selling and moving freshwater animals is restricted" in text
