"""Pages around an issued sheet: its link, withdrawal, correction, and where sharing is set."""

import re

import pytest
from django.urls import reverse

from breeding.sheets import services
from breeding.sheets.models import Sharing, Sheet, SheetWithdrawal
from breeding.sheets.shared import links as sheet_links
from breeding.sheets.standing import own_fingerprint, withdraw_sheet
from tests import cast

pytestmark = pytest.mark.django_db
ON = cast.day("2026-11-25")


@pytest.fixture
def issued(owner):
    sire, dam = cast.male("Deneb", pure="motoro"), cast.female("Vega", pure="motoro")
    return services.issue_sheet(cast.female("Lyra", sire=sire, dam=dam), by=owner, on=ON)


def said(client, route, *keys, **query):
    answer = client.get(reverse(route, args=keys), query)
    assert answer.status_code == 200
    return re.sub(r"\s+", " ", answer.content.decode())


# ------------------------------------------------------------------------------------ sheet


def test_sheet_says_that_it_stands_and_hands_the_link_to_keepers(issued, as_keeper):
    words = said(as_keeper, "sheets:detail", issued.pk)
    token = sheet_links.link_of(issued).token
    assert "As issued: unaltered." in words
    assert f"http://testserver/sheets/s/{token}/" in words


def test_sheet_says_that_a_local_address_reaches_nobody_elsewhere(issued, as_keeper, as_owner):
    words = said(as_keeper, "sheets:detail", issued.pk)
    assert "can be reached on this machine or its own network only" in words
    sheet_links.set_public_address("https://rays.example")
    words = said(as_owner, "sheets:detail", issued.pk)
    assert "network only" not in words
    assert "https://rays.example/sheets/s/" in words


def test_sheet_gives_no_link_to_a_viewer(issued, as_viewer):
    words = said(as_viewer, "sheets:detail", issued.pk)
    assert "As issued: unaltered." in words
    assert sheet_links.link_of(issued).token not in words


# --------------------------------------------------------------------------------- sheet_new


def test_sheet_new_issues_with_hours_and_generations(issued, as_keeper):
    address = reverse("sheets:new", args=[issued.animal_id])
    chosen = {"journey_hours": 30, "generations": 4, "paper": "us-letter", "issue": "1"}
    as_keeper.post(address, chosen)
    newest = Sheet.objects.first()
    assert newest.issued_facts.arrival.startswith("About 30 hours in the bag.")
    assert "over four generations" in newest.issued_facts.tree_words
    assert newest.corrects is None


def test_sheet_new_corrects_an_earlier_one(issued, as_keeper):
    address = reverse("sheets:new", args=[issued.animal_id])
    words = said(as_keeper, "sheets:new", issued.animal_id, corrects=issued.number)
    assert f"A correction of sheet {issued.number}" in words
    as_keeper.post(address, {"corrects": issued.number, "paper": "a4", "issue": "1"})
    newest = Sheet.objects.first()
    assert newest.corrects == issued
    words = said(as_keeper, "sheets:detail", issued.pk)
    assert f"Replaced by sheet {newest.number}" in words
    assert "Issue a correction" not in words
    again = as_keeper.post(address, {"corrects": issued.number, "paper": "a4", "issue": "1"})
    assert "correct that one" in again.content.decode()


def test_sheet_new_says_which_sheet_stands_already_until_it_does_not(issued, as_keeper):
    beside = f"Sheet {issued.number} of "
    words = said(as_keeper, "sheets:new", issued.animal_id)
    assert beside in words
    assert "whoever holds either is told that it is good" in words
    assert f"?corrects={issued.number}" in words
    assert "stands for" not in said(
        as_keeper, "sheets:new", issued.animal_id, corrects=issued.number
    )
    assert "stands for" not in said(as_keeper, "sheets:new", cast.female("Mira").pk)
    withdraw_sheet(issued, by=None, on=ON, reason="twice")
    assert "stands for" not in said(as_keeper, "sheets:new", issued.animal_id)


def test_sheet_new_knows_no_sheet_of_another_animal(issued, as_keeper):
    address = reverse("sheets:new", args=[cast.female("Mira").pk])
    assert as_keeper.get(address, {"corrects": issued.number}).status_code == 404


@pytest.mark.parametrize("hours", ["-1", "97", "x"])
def test_sheet_new_refuses_hours_that_no_bag_lasts(issued, as_keeper, hours):
    address = reverse("sheets:new", args=[issued.animal_id])
    answer = as_keeper.post(address, {"journey_hours": hours, "paper": "a4", "issue": "1"})
    assert answer.status_code == 200
    assert Sheet.objects.count() == 1


# -------------------------------------------------------------------------------- sheet_link


def test_sheet_link_renews_closes_and_ends(issued, as_keeper):
    address = reverse("sheets:link", args=[issued.pk])
    first = sheet_links.link_of(issued).token
    assert first in said(as_keeper, "sheets:link", issued.pk)
    as_keeper.post(address, {"renew": "1"})
    assert sheet_links.link_of(issued).token != first
    as_keeper.post(address, {"end": "1", "last_day": "2099-01-31"})
    assert sheet_links.link_of(issued).last_day == cast.day("2099-01-31")
    as_keeper.post(address, {"close": "1"})
    assert sheet_links.link_of(issued) is None
    assert "There is none: the link is closed." in said(as_keeper, "sheets:detail", issued.pk)


def test_sheet_link_refuses_a_last_day_that_is_past(issued, as_keeper):
    address = reverse("sheets:link", args=[issued.pk])
    answer = as_keeper.post(address, {"end": "1", "last_day": "2020-01-31"})
    assert "31 January 2020 is past" in answer.content.decode()
    assert sheet_links.link_of(issued).last_day is None


@pytest.mark.parametrize(("route", "kind"), [("sheets:link", []), ("program:withdraw", ["sheet"])])
def test_viewers_neither_share_nor_withdraw(issued, as_viewer, route, kind):
    assert as_viewer.get(reverse(route, args=[*kind, issued.pk])).status_code == 403


# ---------------------------------------------------------------------------- sheet_withdraw


def test_sheet_withdraw_asks_why_and_keeps_it(issued, as_keeper):
    address = reverse("program:withdraw", args=["sheet", issued.pk])
    assert "the reason is for keepers only" in said(
        as_keeper, "program:withdraw", "sheet", issued.pk
    )
    as_keeper.post(address, {"reason": ""})
    assert not SheetWithdrawal.objects.exists()
    as_keeper.post(address, {"reason": "wrong dam"})
    assert SheetWithdrawal.objects.get().recorded_by.username == "sam"
    assert "wrong dam" in said(as_keeper, "program:withdraw", "sheet", issued.pk)
    again = as_keeper.post(address, {"reason": "again"})
    assert again.status_code == 200
    assert SheetWithdrawal.objects.count() == 1


# ----------------------------------------------------------------------------------- sharing


def test_sharing_shows_the_key_and_takes_the_address(issued, as_owner):
    words = said(as_owner, "sheets:sharing")
    assert own_fingerprint() in words
    assert issued.public_key in words
    as_owner.post(reverse("sheets:sharing"), {"public_address": "rays.example"})
    assert Sharing.objects.get().public_address == "https://rays.example"
    assert "https://rays.example" in said(as_owner, "sheets:sharing")


def test_sharing_is_for_owners(issued, as_keeper):
    assert as_keeper.get(reverse("sheets:sharing")).status_code == 403


def test_sharing_without_a_key_says_when_it_is_made(as_owner, settings, tmp_path):
    settings.HOME = tmp_path
    assert "it is made with the first sheet" in said(as_owner, "sheets:sharing")
