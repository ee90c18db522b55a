"""Whatever is asked or sent, the answer is a page with words: never a fault of the server.

What single fields take is tried in `test_forms.py`, without a request. Here every route meets what
breaks the reading of a request, what a database cannot hold, and what is of another kind; and each
field of a form in order meets the one value that a form lets through and a row may not hold.
"""

import re
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from urllib.parse import urlencode

import pytest
from django.db import transaction
from django.test import Client

from breeding.program.models import Person
from tests import cast
from tests.everything import everything
from tests.forms import form_classes
from tests.hostile import (
    IN_PARTS,
    URLENCODED,
    FormReader,
    first_of_each_shape,
    forms_on,
    not_a_picture,
)
from tests.routes import NAMES, ROUTES, addresses

pytestmark = pytest.mark.django_db

NULL, HUGE, WORD = "a\x00b", "9" * 30, "²"
THREE = (NULL, HUGE, WORD)
FAR_DAYS = ("0001-01-01", "9999-12-31")
OVER_A_COLUMN = "2147483648"
CROOKED_QUERY = "female=%ff%fe&asof=%00&dam=%c3&q=%ed%a0%80"
CROOKED_BODIES = [
    (b"female=%ff%fe&note=\xff\xfe", URLENCODED),
    (
        b'--x\r\nContent-Disposition: form-data; name="file"; filename="a\x00.jpg"\r\n\r\nx',
        "multipart/form-data; boundary=x",
    ),
]
HOUSE = Path(__file__).resolve().parent.parent / "breeding"


def read_by_views(how: str) -> set[str]:
    """The names that any module reads from a query or a body without a form."""
    reads = re.compile(how + r"""(?:\.get|\.getlist|\.pop)?[(\[]\s*["']([\w-]+)["']""")
    return {
        name
        for path in HOUSE.rglob("*.py")
        for name in reads.findall(path.read_text(encoding="utf-8"))
    }


FIELDS = {name for kind in form_classes() for name in kind.base_fields}
ASKED, SENT = FIELDS | read_by_views("GET"), FIELDS | read_by_views("POST")


def test_names_are_found_in_forms_and_where_views_read_them():
    assert len(FIELDS) > 100
    assert read_by_views("GET")
    assert read_by_views("POST")


@pytest.fixture(autouse=True)
def _no_copies_of_contexts(monkeypatch):
    """The test client copies the context of every template it draws; nobody looks at them here."""
    monkeypatch.setattr("django.test.client.store_rendered_templates", lambda *a, **k: None)


@pytest.fixture(autouse=True)
def _no_simulation_beside(monkeypatch):
    """A look ahead runs in a thread that cannot see what a test has written."""
    monkeypatch.setattr("breeding.planning.ahead.runs.run_beside", lambda asked: None)


@pytest.fixture(scope="module")
def owner(kept_for_the_file) -> Person:
    """Written once with all there is: every request is undone (`status`), and so is every test."""
    return everything()


@pytest.fixture
def client(owner) -> Client:
    client = cast.signed_in(owner)
    client.raise_request_exception = False
    return client


@pytest.fixture(scope="module")
def pages(owner) -> Callable[[str], str]:
    """Each page as it is read, once for all tests: nothing stands that they send."""
    return cache(partial(page_of, cast.signed_in(owner)))


def status(client: Client, how: str, address: str, sent=None, *, enctype=URLENCODED) -> int:
    """The status; a file that is streamed is read to its end, and what was written is undone.

    A form is sent as a browser sends it: in parts only when the page says so or a file is sent.
    """
    with transaction.atomic():
        if isinstance(sent, bytes):
            answer = client.post(address, sent, content_type=enctype)
        elif how == "post" and enctype == URLENCODED:
            answer = client.post(address, urlencode(sent), content_type=URLENCODED)
        else:
            answer = getattr(client, how)(address, sent)
        if answer.streaming:
            b"".join(answer.streaming_content)
        transaction.set_rollback(True)
    return answer.status_code


def page_of(client: Client, address: str) -> str:
    """The page at an address; nothing where there is none, or a file.

    A file is read to its end: closed by hand, it would take the database's connection with it.
    """
    page = client.get(address)
    if page.streaming:
        b"".join(page.streaming_content)
        return ""
    is_page = page.headers.get("content-type", "").startswith("text/html")
    return page.content.decode() if page.status_code == 200 and is_page else ""


every_route = pytest.mark.parametrize(("route", "parts"), ROUTES, ids=NAMES)


@every_route
def test_reading_any_address_never_breaks(client, route, parts):
    asked = addresses(route, parts)
    assert asked
    assert [one for one in asked if status(client, "get", one) >= 500] == []


@every_route
def test_asking_with_any_query_never_breaks(client, pages, route, parts):
    address = addresses(route, parts)[0]
    page = pages(address)
    names = ASKED | set(re.findall(r"[?&;](\w+)=", page)) | FormReader.names_on(page)
    broken = [
        value
        for value in (*THREE, *FAR_DAYS)
        if status(client, "get", address, dict.fromkeys(names, value)) >= 500
    ]
    assert broken == []
    assert status(client, "get", f"{address}?{CROOKED_QUERY}") < 500


@every_route
def test_sending_garbage_never_breaks(client, pages, route, parts):
    address = addresses(route, parts)[0]
    names = SENT | FormReader.names_on(pages(address))
    broken = [
        value
        for value in THREE
        if status(client, "post", address, dict.fromkeys(names, value)) >= 500
    ]
    assert broken == []
    for body, kind in CROOKED_BODIES:
        assert status(client, "post", address, body, enctype=kind) < 500, body


@every_route
def test_one_wrong_value_in_a_good_form_never_breaks(client, pages, route, parts):
    """Each form of the page is filled in well, and then with one value that a row cannot hold."""
    broken = []
    address = addresses(route, parts)[0]
    for target, enctype, good in forms_on(pages(address), address):
        if target.endswith("/sign-out/"):
            continue
        sound = status(client, "post", target, good, enctype=enctype)
        assert sound < 500, (target, good)
        for name in first_of_each_shape(good):
            for value in wrong_for(good, name):
                how_sent = enctype if isinstance(value, str) else IN_PARTS
                if status(client, "post", target, good | {name: value}, enctype=how_sent) >= 500:
                    broken.append((target, name, str(value)))
    assert broken == []


def wrong_for(good, name):
    """What the form may let through: a day too far for reckoning, a number too big for a column."""
    if name in good.dates:
        return FAR_DAYS
    if name in good.files:
        return [not_a_picture()]
    return [OVER_A_COLUMN] if name in good.typed else [HUGE]
