"""Pages travel packed, except those that show a secret; htmx comes only where it is used."""

import gzip

import pytest
from django.http import HttpResponse
from django.urls import reverse

from breeding import settings as real
from breeding.program.frame.packing import PackingMiddleware
from tests import cast

pytestmark = pytest.mark.django_db
PACKS = {"accept-encoding": "gzip, br"}


def test_a_page_travels_packed_and_is_the_same_page(as_keeper):
    packed = as_keeper.get(reverse("program:more"), headers=PACKS)
    assert packed["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in packed["Vary"]
    assert b"<h1>More</h1>" in gzip.decompress(packed.content)
    assert len(packed.content) < len(gzip.decompress(packed.content)) / 2


def test_a_browser_that_cannot_unpack_gets_it_as_it_is(as_keeper):
    plain = as_keeper.get(reverse("program:more"))
    assert "Content-Encoding" not in plain
    assert b"<h1>More</h1>" in plain.content


@pytest.mark.parametrize("route", ["program:account", "agenda:reminders"])
def test_a_page_that_shows_a_secret_is_neither_packed_nor_kept(as_keeper, route):
    answer = as_keeper.get(reverse(route), headers=PACKS)
    assert "no-store" in answer["Cache-Control"]
    assert "Content-Encoding" not in answer


@pytest.mark.parametrize(
    ("sort", "packed"), [("image/jpeg", False), ("application/pdf", False), ("text/csv", True)]
)
def test_what_is_small_already_travels_as_it_is(rf, sort, packed):
    middleware = PackingMiddleware(lambda _: HttpResponse(b"ray " * 500, content_type=sort))
    answer = middleware(rf.get("/", headers=PACKS))
    assert ("Content-Encoding" in answer) is packed


def test_style_and_scripts_are_packed_when_they_are_put_in_place():
    assert "Compressed" in real.STORAGES["staticfiles"]["BACKEND"]


def test_htmx_comes_only_with_a_page_that_uses_it(as_keeper):
    cast.female("Mira")
    for route, uses in (("agenda:day", False), ("animals:index", False), ("finding:find", True)):
        page = as_keeper.get(reverse(route)).content
        assert (b"htmx" in page) is uses
        assert (b" hx-" in page) is uses
