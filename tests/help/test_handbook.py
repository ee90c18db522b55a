"""The handbook: every chapter opens, no link of it is dead, its pictures are small."""

import re
from itertools import pairwise

import pytest
from django.template.loader import get_template
from django.urls import reverse

from breeding.help.chapters import CHAPTERS
from breeding.program.reference.glossary import terms
from tests.cast import words

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database("pages that are alike in every program"),
]
KEYS = [one.key for one in CHAPTERS]
LINK = re.compile(r'href="(/[^"#]*)(?:#([^"]*))?"')


def of_chapter(page):
    """What stands between the heading and the way to the next chapter."""
    return page.partition("<h1>")[2].partition('<footer class="foot">')[0]


@pytest.mark.parametrize("role", ["as_owner", "as_keeper", "as_viewer"])
def test_every_chapter_opens_for_every_role(role, request):
    client = request.getfixturevalue(role)
    for key in KEYS:
        answer = client.get(reverse("help:chapter", args=[key]))
        assert answer.status_code == 200
        assert len(of_chapter(words(answer))) > 600, key


def test_the_handbook_lists_all_chapters_and_each_leads_to_the_next(as_viewer):
    page = words(as_viewer.get(reverse("help:index")))
    for key in KEYS:
        assert f'href="/help/{key}/"' in page
    for key, following in pairwise(KEYS):
        assert f'href="/help/{following}/"' in words(as_viewer.get(f"/help/{key}/"))


def test_no_link_of_the_handbook_is_dead(as_owner):
    pages = [reverse("help:index"), *(reverse("help:chapter", args=[key]) for key in KEYS)]
    links = {link for page in pages for link in LINK.findall(of_chapter(words(as_owner.get(page))))}
    assert len(links) > 30
    for address, anchor in links:
        if address.startswith("/static/"):
            continue
        answer = as_owner.get(address)
        assert answer.status_code == 200, address
        if anchor:
            assert f'id="{anchor}"' in answer.content.decode(), (address, anchor)


def test_every_anchor_on_the_page_of_words_is_a_word():
    for one in CHAPTERS:
        source = get_template(one.template).template.source
        assert set(re.findall(r"words }}#([\w-]+)", source)) <= set(terms())


def test_a_chapter_that_does_not_exist_is_not_found_and_offers_help(as_keeper):
    answer = as_keeper.get("/help/nothing/")
    assert answer.status_code == 404
    assert 'href="/help/"' in answer.content.decode()


def test_a_viewer_is_told_that_writing_is_for_keepers(as_viewer, as_keeper):
    said = "Where a chapter speaks of writing down, it speaks to its keepers."
    assert said in words(as_viewer.get(reverse("help:index")))
    assert said not in words(as_keeper.get(reverse("help:index")))


def test_the_handbook_speaks_german(as_keeper):
    german = {"accept-language": "de"}
    page = words(as_keeper.get(reverse("help:index"), headers=german))
    assert "Wann sie fällig ist und warum" in page
    page = words(as_keeper.get(reverse("help:chapter", args=["log-a-sighting"]), headers=german))
    assert "Frische Spuren sagen, dass ein Männchen versucht hat, sie zu drehen" in page


def test_help_is_found_from_more_and_from_the_foot_of_every_page(as_viewer):
    assert '<a href="/help/">Help</a>' in words(as_viewer.get(reverse("program:more")))
    foot = words(as_viewer.get(reverse("animals:index"))).partition('<footer class="foot">')[2]
    assert '<a href="/help/">Help</a>' in foot
