"""Everybody on cards: what is needed beside a tank, and pages that a device may keep."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.models import Animal, Measurement
from breeding.housing.models import Stay, Tank
from breeding.pairings.models import SignKind
from breeding.program.acts.once import new_token
from breeding.program.kept.device import mark_of
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
CARDS = reverse("agenda:cards")
HEADER = "X-Readable-Offline"


def test_a_card_says_where_it_is_its_parents_and_its_newest_width(as_viewer):
    dam = cast.female("Adhara", pure="motoro")
    young = cast.female("Mira", dam=dam, born_on=cast.ago(400))
    Stay.objects.create(animal=young, tank=Tank.objects.create(name="Long pool"), since=cast.ago(9))
    for days, width in ((90, 180), (3, 241)):
        Measurement.objects.create(animal=young, on=cast.ago(days), disc_width_mm=width)
    page = words(as_viewer.get(CARDS))
    assert "Long pool" in page
    assert "sire unknown, dam Adhara" in page
    assert "24.1 cm" in page
    assert "In no tank" in page  # her dam


def test_whoever_is_gone_has_no_card(as_viewer):
    cast.female("Mira", pure="motoro")
    cast.female("Adhara", pure="motoro", state=Animal.State.LEFT, state_on=cast.ago(1))
    page = words(as_viewer.get(CARDS))
    assert "Mira" in page
    assert "Adhara" not in page


def test_ten_more_animals_cost_no_more_questions(as_viewer):
    def asked():
        with CaptureQueriesContext(
            connection,
        ) as found:
            as_viewer.get(CARDS)
        return len(found)

    cast.female("Mira", pure="motoro")
    first = asked()
    for number in range(10):
        cast.female(f"Ray {number}", pure="motoro")
    assert asked() <= first


def test_many_cards_have_pages_and_every_tank_says_on_which_it_begins(as_viewer, monkeypatch):
    monkeypatch.setattr("breeding.agenda.cards.A_PAGE", 2)
    monkeypatch.setattr("breeding.agenda.views.cards.A_PAGE", 2)
    tanks = {name: Tank.objects.create(name=name) for name in ("Bay", "Pool")}
    for number, tank in enumerate(("Bay", "Bay", "Bay", "Pool", "")):
        ray = cast.female(f"Ray {number}", pure="motoro")
        if tank:
            Stay.objects.create(animal=ray, tank=tanks[tank], since=cast.ago(9))
    first, second, last = (as_viewer.get(f"{CARDS}?page={number}") for number in (1, 2, 3))
    named = [[f"Ray {n}" in words(page) for n in range(5)] for page in (first, second, last)]
    assert named == [
        [True, True, False, False, False],
        [False, False, True, True, False],
        [False, False, False, False, True],
    ]
    assert f'?page=2#tank-{tanks["Pool"].pk}"' in words(first)
    assert f'id="tank-{tanks["Pool"].pk}"' in words(second)
    assert '?page=3#tank-0"' in words(first)  # who is in no tank
    assert [page.headers.get("X-Goes-On-At") for page in (first, second, last)] == [
        f"{CARDS}?page=2",
        f"{CARDS}?page=3",
        None,
    ]


def test_pages_for_the_tank_are_marked_with_who_may_read_them_and_private_ones_are_not(
    as_owner, owner, stranger
):
    mira = cast.female("Mira", pure="motoro")
    for page in (CARDS, "/", "/care/", "/pairings/log/", "/animals/", f"/animals/{mira.pk}/"):
        assert as_owner.get(page)[HEADER] == mark_of(owner.pk), page
        assert HEADER not in stranger.get(page), page
    for page in ("/buyers/", "/settings/", "/people/", "/account/", "/more/"):
        assert HEADER not in as_owner.get(page), page


def test_a_page_fetched_ahead_says_nothing_of_what_was_just_done(as_keeper, keeper):
    mating = SignKind.objects.get(key="copulation")
    sent = {"female": cast.female().pk, "kind": mating.pk, "once": new_token(keeper)}
    as_keeper.post("/pairings/log/", sent)
    assert "Written: " not in words(as_keeper.get("/", headers={"X-Ahead": "1"}))
    assert "Written: " in words(as_keeper.get("/"))


def test_the_manifest_names_the_program_to_whoever_is_signed_in_only(as_keeper, stranger):
    named = cast.the_program().name
    assert as_keeper.get("/manifest.webmanifest").json()["name"] == named
    told = stranger.get("/manifest.webmanifest").json()
    assert told["name"] == "Rayward"
    assert [one["sizes"] for one in told["icons"]] == ["192x192", "512x512", "512x512"]


def test_the_worker_is_served_from_the_top_so_that_it_answers_for_all_pages(stranger):
    answer = stranger.get("/worker.js")
    assert answer["Content-Type"] == "text/javascript"
    assert b'addEventListener("fetch"' in answer.content
