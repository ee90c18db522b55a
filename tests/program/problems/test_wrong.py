"""A refused form begins with what is wrong: in the title, in focus, with a way to each field."""

import re
from html.parser import HTMLParser

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from breeding.program.models import Person
from tests import cast
from tests.everything import everything
from tests.routes import ROUTES, address

pytestmark = pytest.mark.django_db

# Sent empty, these do what an empty form asks for, or only lead on.
REFUSED_AT_LEAST = {
    *("animals:measure", "animals:photograph", "buyers:new", "housing:new", "litters:new"),
    *("pairings:log", "pairings:new", "pairings:scan", "program:people", "program:settings"),
    *("agenda:answer", "housing:move", "pairings:nursery"),
}


class Page(HTMLParser):
    """A refused page: its title, its summary's links, its errors, and who points to them."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.ids: set[str] = set()
        self.links: list[str] = []
        self.described: set[str] = set()
        self.errors: set[str] = set()
        self.has_focus = False
        self._depth = 0
        self.feed(text)
        self.title = re.search(r"<title>(.*?)</title>", text, re.DOTALL)[1]

    def handle_starttag(self, tag, pairs):
        attrs = dict(pairs)
        self.ids.add(attrs.get("id") or "")
        self.described |= set((attrs.get("aria-describedby") or "").split())
        if "errorlist" in (attrs.get("class") or "").split() and attrs.get("id"):
            self.errors.add(attrs["id"])
        if "wrong" in (attrs.get("class") or "").split():
            self.has_focus, self._depth = "autofocus" in attrs and attrs.get("tabindex") == "-1", 1
        elif self._depth:
            self._depth += tag == "div"
            if tag == "a":
                self.links.append(attrs["href"])

    def handle_endtag(self, tag):
        if self._depth and tag == "div":
            self._depth -= 1


@pytest.fixture(autouse=True)
def _no_copies_of_contexts(monkeypatch):
    """The test client copies the context of every template it draws; nobody looks at them here."""
    monkeypatch.setattr("django.test.client.store_rendered_templates", lambda *a, **k: None)
    monkeypatch.setattr("breeding.planning.ahead.runs.run_beside", lambda asked: None)


@pytest.fixture(scope="module")
def owner(kept_for_the_file) -> Person:
    return everything()


def complaints(page: Page) -> list[str]:
    found = []
    if not page.title.startswith("Error: "):
        found.append(f"is titled {page.title}")
    if not page.has_focus:
        found.append("has no summary in focus")
    found += [
        f"leads to {one}, which is not there" for one in page.links if one[1:] not in page.ids
    ]
    found += [f"{one} belongs to nothing" for one in page.errors - page.described]
    return found


def test_every_form_sent_empty_says_first_what_is_wrong(owner):
    client = Client()
    client.force_login(owner)
    refused, wrong = set(), []
    for route, parts in ROUTES:
        if route.startswith("program:sign"):
            continue
        with transaction.atomic():
            answer = client.post(address(route, parts), {"nothing": "1"})
            transaction.set_rollback(True)
        if answer.get("Content-Type", "").startswith("text/html") and answer.status_code < 500:
            text = answer.content.decode()
            if "errorlist" in text:
                refused.add(route)
                wrong += [f"{route}: {one}" for one in complaints(Page(text))]
    assert wrong == [], "\n".join(wrong)
    assert refused >= REFUSED_AT_LEAST


def test_the_summary_counts_and_names_and_tiles_are_one_group_with_their_error(owner):
    client = Client()
    client.force_login(owner)
    page = client.post(reverse("pairings:log"), {"note": "x"}).content.decode()
    assert "2 things to put right; nothing is written yet" in page
    assert '<a href="#id_female">Choose who it was.</a>' in page
    assert (
        '<fieldset class="bare who" id="id_female" tabindex="-1" role="radiogroup" '
        'aria-invalid="true" aria-describedby="id_female_error">' in page
    )


def test_a_question_alone_is_called_a_question(owner):
    client = Client()
    client.force_login(owner)
    cast.female("Mira")
    sent = {"call_name": "Mira", "sex": "F", "state": "here", "origin": "unknown"}
    page = client.post(reverse("animals:new"), sent).content.decode()
    assert '<h2><a href="#doubts">Nothing is written yet: there is a question</a></h2>' in page
    assert "to put right" not in page


def test_a_form_that_is_only_shown_says_nothing(owner):
    client = Client()
    client.force_login(owner)
    page = client.get(reverse("pairings:log")).content.decode()
    assert "<title>Log a sighting" in page
    assert 'class="said error wrong"' not in page


def test_a_wrong_password_is_said_the_same_way(owner):
    answer = Client().post(reverse("program:sign_in"), {"username": "jo", "password": "no"})
    page = Page(answer.content.decode())
    assert complaints(page) == []
    assert cast.PASSWORD not in answer.content.decode()


def test_a_search_that_is_refused_speaks_of_no_writing(owner):
    client = Client()
    client.force_login(owner)
    page = client.get("/chronicle/?year=abc").content.decode()
    assert "1 thing to put right" in page
    assert "nothing is written yet" not in page
