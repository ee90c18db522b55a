"""Every door that writes takes a form once: none is forgotten."""

import ast
import inspect
import re
import sys
from pathlib import Path

import pytest
from django.urls import get_resolver

from tests.routes import NAMES, ROUTES

TEMPLATES = Path(__file__).parents[3] / "breeding"
ONCE = {"written", "pressed", "act_once"}
# Views that read what was posted and keep nothing under a token, each with its reason.
WITHOUT = {
    "program:sign_in": "Django's own; signing in twice is signing in",
    "program:sign_out": "Django's own; signing out twice is signing out",
    "program:link": "a link is spent by itself, with what it does",
    "exchange:check": "a file is read and nothing of it kept",
    "exchange:prove": "a file is read and nothing of it kept",
    "agenda:stop": "mail programs send it by themselves; ended twice is ended",
    "program:sign_in_code": "a code is spent by itself",
    "program:columns": "the same ticks twice are the same columns",
    "program:put_away": "put away twice is put away",
}
# Forms that carry no token, each with its reason.
BARE = {
    "exchange/templates/exchange/check.html": "whoever holds a file; it writes nothing",
    "exchange/templates/exchange/prove.html": "it writes nothing",
    "agenda/templates/agenda/stop.html": "whoever was sent the mail, signed in or not",
    "program/templates/program/sign_in.html": "nobody is signed in yet",
    "program/templates/program/set_up.html": "nobody is signed in yet",
    "program/templates/program/sign_in_code.html": "nobody is signed in yet",
    "program/templates/program/link.html": "nobody is signed in yet",
    "program/templates/program/link_password.html": "nobody is signed in yet",
    "program/templates/program/more.html": "signs out",
    "program/templates/program/frame/_receipt.html": "one of its two forms only puts it away",
    "program/templates/program/_columns.html": "keeps columns",
    "program/templates/program/kept.html": "carries the token it came with; or only puts it away",
    "program/templates/program/not_saved.html": "carries the token it came with",
}


def view_of(route: str):
    for room in get_resolver().url_patterns:
        for pattern in getattr(room, "url_patterns", ()):
            if f"{room.namespace}:{pattern.name}" == route:
                return inspect.unwrap(pattern.callback)
    raise LookupError(route)


def reached_from(view) -> tuple[set[str], bool]:
    """The names that a view calls through its module, and whether it may write."""
    tree = ast.parse(inspect.getsource(sys.modules[view.__module__]))
    functions = {one.name: one for one in tree.body if isinstance(one, ast.FunctionDef)}
    names, waiting = set(), [view.__name__]
    while waiting:
        for node in ast.walk(functions[waiting.pop()]):
            name = getattr(node, "id", None) or getattr(node, "attr", None)
            if name and name not in names:
                names.add(name)
                waiting += [name] if name in functions else []
    return names, bool({"POST", "FILES"} & names)


@pytest.mark.parametrize("route", [one for one in NAMES if one not in WITHOUT])
def test_a_view_that_reads_what_was_posted_takes_it_once(route):
    view = view_of(route)
    if view.__module__.startswith("breeding."):
        names, may_write = reached_from(view)
        assert not may_write or names & ONCE, f"{route} writes without a token"


def test_the_exceptions_are_routes():
    assert set(WITHOUT) <= {route for route, _ in ROUTES}


@pytest.mark.parametrize(
    "path",
    sorted(one for one in TEMPLATES.rglob("*.html") if 'method="post"' in one.read_text()),
    ids=lambda one: str(one.relative_to(TEMPLATES)),
)
def test_a_form_that_writes_carries_a_token(path):
    if str(path.relative_to(TEMPLATES)) not in BARE:
        text = path.read_text()
        forms, tokens = (
            text.count('method="post"'),
            len(re.findall(r"\{% once(?:_of_its_own)?\b", text)),
        )
        assert tokens == forms
