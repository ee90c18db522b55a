"""A reader of German finds no English sentence on a walk of the main journeys."""

import html
import re

import pytest
from django.test import Client

from breeding.program.services import choose_language
from tests.everything import everything
from tests.program.language.made_up import ADDRESS, ASIDE, SPOKEN_ASIDE, TAG, stored_texts
from tests.routes import ROUTES, address

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database("how pages become words"),
]

# Small words of English that German does not write in small letters.
ENGLISH = frozenset(
    (
        *("the", "and", "of", "is", "are", "for", "with", "not", "this", "that", "these", "which"),
        *("from", "by", "at", "it", "its", "have", "has", "been", "when", "there", "their", "they"),
        *("your", "you", "no", "only", "yet", "to", "be", "or", "if", "than", "then", "after"),
        *("before", "until", "days", "weeks", "months", "year", "years"),
    )
)
# What is printed somewhere is named as it was printed; what is chemistry is alike everywhere.
AS_PRINTED = re.compile(r"\b[A-Z][^;:()]*\b(?:19|20)\d\d\b[^;()]*|Clinical Guide to Fish Medicine")
# An element that says another language of itself is read in that one.
IN_ENGLISH = re.compile(r"<(\w+)\b[^>]*\blang=\"en\"[^>]*>.*?</\1>", re.DOTALL)
WORD = re.compile(r"\w+")

# Not the page that brings tables in: it names what is written in them, which is English.
JOURNEYS = {
    "the morning": ("agenda:day", "agenda:reminders", "agenda:own", "agenda:cards"),
    "an animal": (
        *("animals:index", "animals:detail", "animals:family", "animals:new", "animals:measure"),
        *("animals:species", "animals:strains", "records:animal", "health:index"),
    ),
    "a season": (
        *("pairings:index", "pairings:log", "pairings:female", "pairings:detail", "pairings:new"),
        *("pairings:season", "pairings:her_water", "pairings:nursery", "pairings:signs"),
    ),
    "a litter": (
        *("litters:index", "litters:detail", "litters:new", "litters:after", "litters:weigh"),
    ),
    "the fish house": (
        *("housing:index", "housing:detail", "housing:house", "housing:water", "housing:course"),
        *("feeding:index", "feeding:rounds", "feeding:foods"),
    ),
    "whom with whom": (
        *("planning:index", "planning:season", "planning:state", "planning:table"),
        *("planning:year", "planning:ahead", "planning:waiting"),
    ),
    "a buyer": (
        *("buyers:index", "buyers:detail", "buyers:wishes", "buyers:hand_over", "buyers:erase"),
        *("sheets:index", "sheets:new", "origin:detail", "offers:sales", "arrivals:index"),
    ),
    "the program": (
        *("program:settings", "program:people", "program:own_language", "program:sign_in"),
        *("records:chronicle", "help:index", "help:words", "finding:labels"),
    ),
}
PARTS = dict(ROUTES)
WALK = [(name, route) for name, routes in JOURNEYS.items() for route in routes]


@pytest.fixture(scope="module")
def reader(kept_for_the_file):
    """The owner of a program with one of everything, who reads German."""
    owner = everything()
    choose_language(owner, language="de", clock="")
    client = Client()
    client.force_login(owner)
    return client


@pytest.fixture(scope="module")
def own_words(reader):
    """What somebody wrote, the longest first: it stays as it was written."""
    return sorted(stored_texts(), key=len, reverse=True)


def english(page, own_words=()):
    """The pieces of a page in which an English word stands, without what somebody wrote."""
    for aside in (SPOKEN_ASIDE, IN_ENGLISH):
        page = aside.sub(" ", page)
    pieces = TAG.sub("\n", page).split("\n") + [
        one[1] or one[2] or "" for one in ASIDE.finditer(page)
    ]
    said = (" ".join(html.unescape(one).split()) for one in pieces)
    return [one for one in dict.fromkeys(said) if _has_english(one, own_words)]


def _has_english(piece, own_words):
    if ENGLISH.isdisjoint(WORD.findall(piece)):
        return False
    for written in own_words:
        piece = piece.replace(written, " ")
    piece = AS_PRINTED.sub(" ", ADDRESS.sub(" ", piece))
    return not ENGLISH.isdisjoint(WORD.findall(piece))


@pytest.mark.parametrize(("journey", "route"), WALK, ids=[route for _, route in WALK])
def test_no_page_of_a_journey_holds_english(reader, own_words, journey, route):
    answer = reader.get(address(route, PARTS[route]), follow=True)
    assert answer.status_code == 200
    assert answer.headers["Content-Language"] == "de"
    assert english(answer.content.decode(), own_words) == []


@pytest.mark.parametrize(
    ("page", "found"),
    [
        ("<p>Mira ist in der Not allein.</p>", []),
        ("<p>Mira is alone.</p><p>Gut</p>", ["Mira is alone."]),
        ('<a title="Show the tank">Bow</a>', ["Show the tank"]),
        ('<article lang="en"><p>the sire</p></article><code>for it</code>', []),
        ("<p>„A film on the skin.“ eingetragen</p>", []),
        ("<p>Quelle: Janse and Schrama 2010, J Mar Biol Assoc of the UK 90:353</p>", []),
    ],
)
def test_english_is_found_and_what_somebody_wrote_is_left(page, found):
    assert english(page, ["A film on the skin."]) == found
