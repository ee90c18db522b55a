"""No page says a word that no catalog could hold, read in a made-up language."""

import pytest
from django.test import Client

from breeding.program.services import choose_language
from tests.everything import everything
from tests.program.language.made_up import (
    CODE,
    NAMES,
    made_up_language,
    outside,
    stored_words,
)
from tests.routes import ROUTES, address, leading

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database("how pages become words"),
]

# Rooms all of whose pages are written through a catalog; a room is added once it is.
WHOLE_ROOMS = (
    "agenda",
    "animals",
    "arrivals",
    "buyers",
    "feeding",
    "finding",
    "health",
    "help",
    "housing",
    "litters",
    "offers",
    "origin",
    "pairings",
    "planning",
    "program",
    "records",
    "sheets",
)
PAGES = [(route, parts) for route, parts in ROUTES if route.partition(":")[0] in WHOLE_ROOMS]


@pytest.fixture(scope="module")
def reader(kept_for_the_file, tmp_path_factory):
    """The owner of a program with one of everything, who reads the made-up language."""
    with made_up_language(tmp_path_factory.mktemp("languages")):
        owner = everything()
        choose_language(owner, language=CODE, clock="")
        client = Client(raise_request_exception=False)
        client.force_login(owner)
        yield client


@pytest.fixture(scope="module")
def stored(reader):
    return stored_words() | NAMES


def unmarked(answer, stored):
    kind = answer.headers.get("Content-Type", "")
    if answer.streaming:
        b"".join(answer.streaming_content)  # a file that is not read to its end stays open
    if answer.status_code != 200 or "html" not in kind or answer.streaming:
        return []
    return [word for word in outside(answer.content.decode()) if word.lower() not in stored]


@pytest.mark.parametrize(("route", "parts"), PAGES, ids=[route for route, _ in PAGES])
def test_a_page_says_nothing_outside_its_messages(reader, stored, route, parts):
    for token in leading(parts) or ("x",):
        answer = reader.get(address(route, parts, token=token))
        assert answer.status_code < 500
        assert unmarked(answer, stored) == []


def test_the_page_of_ones_own_language_is_read_in_the_made_up_one(reader, stored):
    answer = reader.get(address("program:own_language", ()))
    assert answer.headers["Content-Language"] == CODE
    assert "⟦Language and clock⟧" in answer.content.decode()
    assert "Clock" not in unmarked(answer, stored)


@pytest.mark.parametrize(
    ("page", "words"),
    [
        ("<p>⟦Move ⟦Mira⟧ now⟧</p>", []),
        ("<p>⟦Move⟧ it</p>", ["it"]),
        ('<p title="All of it">12 cm</p>', ["All", "of", "it"]),
        ('<article lang="en">issued</article><p>⟦at⟧ http://testserver/s/x/ now</p>', ["now"]),
        ('<a title="⟦All⟧" data-key="plain">⟦12 %⟧</a><script>let me = 1</script>', []),
    ],
)
def test_what_stands_outside_a_message_is_found(page, words):
    assert outside(page) == words
