"""Every kind of record is changed, with who, when and how it was, and brought back."""

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.urls import reverse

from breeding.program.acts.mending import change_address_of, kinds
from tests import cast
from tests.cast import signed_in, words
from tests.health import cases as health
from tests.program.acts.test_mending import CASES, anew

pytestmark = pytest.mark.django_db
ROOT = Path(__file__).parents[3]


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@dataclass(frozen=True)
class Change:
    """What is sent on the page that changes a record, and what stands of it afterwards.

    More is sent as the page shows it; told: what the history of the record says of it.
    """

    sent: Callable[[Any], Mapping[str, Any]]
    stands: Callable[[Any], Any]
    told: str = "note: from nothing to slip"


CHANGES = {
    "arrival": Change(
        lambda one: {"on": "2026-10-01", "note": "slip"},
        lambda one: (one.on, one.note) == (cast.day("2026-10-01"), "slip"),
    ),
    "assumed-kin": Change(
        lambda one: {"degree": "half", "certainty": "50"},
        lambda one: (one.degree, one.certainty) == ("half", 0.5),
        "degree: from full siblings to half siblings",
    ),
    "loan-agreement": Change(
        lambda one: {"due_back_on": "2027-03-01", "terms": "slip"},
        lambda one: (one.due_back_on, one.terms) == (cast.day("2027-03-01"), "slip"),
        "terms: from nothing to slip",
    ),
    "pairing": Change(
        lambda one: {"introduced_on": "2026-10-01", "separated_on": ""},
        lambda one: (one.introduced_on, one.separated_on) == (cast.day("2026-10-01"), None),
        "introduced on: from 16 October 2026 to 1 October 2026",
    ),
    "sighting": Change(
        lambda one: {"female": cast.female("Vega").pk, "note": "slip"},
        lambda one: (one.female.name, one.note) == ("Vega", "slip"),
        "female: from Mira to Vega",
    ),
    "scan": Change(
        lambda one: {"positive": "no", "note": "slip"},
        lambda one: (one.positive, one.note) == (False, "slip"),
        "positive: from yes to no",
    ),
    "outcome": Change(
        lambda one: {"kind": "not_pregnant", "on": "2026-11-04"},
        lambda one: (one.kind, one.on) == ("not_pregnant", cast.day("2026-11-04")),
        "kind: from resorbed to was not pregnant",
    ),
    "loan": Change(
        lambda one: {"since": "2026-10-01"},
        lambda one: one.since == cast.day("2026-10-01"),
        "since: from 5 October 2026 to 1 October 2026",
    ),
    "rest": Change(
        lambda one: {"until": "2027-03-01", "note": "slip"},
        lambda one: one.until == cast.day("2027-03-01"),
    ),
    "nursery-tick": Change(
        lambda one: {"on": "2026-11-20"},
        lambda one: one.on == cast.day("2026-11-20"),
        "on: from 24 November 2026 to 20 November 2026",
    ),
    "water-test": Change(
        lambda one: {"ph": "6.8", "note": "slip"},
        lambda one: (float(one.ph), one.note) == (6.8, "slip"),
    ),
    "water-change": Change(
        lambda one: {"percent": "50", "note": "slip"},
        lambda one: (one.percent, one.note) == (50, "slip"),
    ),
    "tank-work": Change(
        lambda one: {"kind": "media", "note": "slip"},
        lambda one: (one.kind, one.note) == ("media", "slip"),
    ),
    "source-water": Change(
        lambda one: {"name": "Cellar butt", "note": "slip"},
        lambda one: (one.name, one.note) == ("Cellar butt", "slip"),
    ),
    "look": Change(
        lambda one: {"on": "2026-11-05"},
        lambda one: one.on == cast.day("2026-11-05"),
        "on: from 3 November 2026 to 5 November 2026",
    ),
    **{key: Change(*one) for key, one in health.CHANGES.items()},
    "verdict": Change(
        lambda one: {"decision": "go", "reason": "slip"},
        lambda one: (one.decision, one.reason) == ("go", "slip"),
        "reason: from nothing to slip",
    ),
    "species": Change(
        lambda one: {"trade_name": "slip", "kind_many": "pearl rays"},
        lambda one: (one.trade_name, one.kind_many) == ("slip", "pearl rays"),
        "trade name: from pearl ray to slip",
    ),
    "strain": Change(
        lambda one: {"name": "Paper Boat", "description": "slip"},
        lambda one: (one.name, one.description) == ("Paper Boat", "slip"),
        "description: from nothing to slip",
    ),
    "trait": Change(
        lambda one: {"name": "Net", "note": "slip"},
        lambda one: (one.name, one.note) == ("Net", "slip"),
    ),
    "trait_look": Change(
        lambda one: {"what": "not", "note": "slip"},
        lambda one: (one.what, one.note) == ("not", "slip"),
    ),
    "food": Change(
        lambda one: {"name": "Sand smelt", "note": "slip"},
        lambda one: (one.name, one.note) == ("Sand smelt", "slip"),
    ),
    "taken-ancestry": Change(
        lambda one: {"note": "slip"},
        lambda one: one.note == "slip",
    ),
    "key-word": Change(
        lambda one: {"note": "slip"},
        lambda one: one.note == "slip",
    ),
    "known-key": Change(
        lambda one: {"how": "on paper", "note": "slip"},
        lambda one: (one.how, one.note) == ("on paper", "slip"),
    ),
    "said-one": Change(
        lambda one: {"reason": "slip"},
        lambda one: one.reason == "slip",
        "reason: from the scar on its fin to slip",
    ),
    "said-two": Change(
        lambda one: {"note": "slip"},
        lambda one: one.note == "slip",
    ),
    "untold-picture": Change(
        lambda one: {"taken_on": "2026-11-02", "note": "slip"},
        lambda one: (one.taken_on, one.note) == (cast.day("2026-11-02"), "slip"),
    ),
    "feeding": Change(
        lambda one: {f"took_{one.meals.get().animal_id}": "little", "note": "slip"},
        lambda one: (one.meals.get().took, one.note) == ("little", "slip"),
    ),
    "shared-water": Change(
        lambda one: {"name": "Cellar sump", "note": "slip"},
        lambda one: (one.name, one.note) == ("Cellar sump", "slip"),
    ),
    "planned-pairing": Change(
        lambda one: {"not_before": "2026-12-24", "note": "slip"},
        lambda one: one.not_before == cast.day("2026-12-24"),
    ),
    "reminder": Change(
        lambda one: {"text": "Ring the vet", "on": "2027-01-04", "every_days": "7"},
        lambda one: (
            (one.text, one.on, one.every_days) == ("Ring the vet", cast.day("2027-01-04"), 7)
        ),
        "every days: from nothing to 7",
    ),
    "answer": Change(
        lambda one: {"put_off_until": "2026-12-01"},
        lambda one: one.put_off_until == cast.day("2026-12-01"),
        "put off until: from nothing to 1 December 2026",
    ),
}
# What has a page of its own for it, and the test that sends it.
ON_ITS_OWN_PAGE = {
    "animal": "tests/animals/test_changing.py",
    "contact": "tests/buyers/test_mending.py",
    "reservation": "tests/buyers/test_mending.py",
    "stay": "tests/housing/test_stay_views.py",
    "tank": "tests/program/acts/test_changing.py",
    "wish": "tests/buyers/test_mending.py",
}
# Where further kinds of record that the common page changes are tried.
TRIED_IN: dict[str, str] = {
    "hand-over": "tests/buyers/test_mending.py",
    "litter": "tests/litters/test_correcting.py",
    "measurement": "tests/animals/test_mending.py",
    "paper": "tests/origin/test_mending.py",
    "photograph": "tests/animals/test_mending.py",
    "pup": "tests/litters/test_correcting.py",
}
NOT_CHANGED = {
    "young-given": "given for another loan is another record; the loan's page ticks which",
    "sheet": "stays as it was issued; a correction is issued in its place",
}
by_key = {case.key: case for case in CASES}
of_each_change = pytest.mark.parametrize("key", sorted(CHANGES))
of_each_return = pytest.mark.parametrize("key", sorted(by_key.keys() - {"rest"}))


def as_shown(client, address) -> dict[str, Any]:
    """What a browser would send of the form on a page, as it is shown."""
    form = client.get(address).context["form"]
    values = {name: form[name].value() for name in form.fields}
    return {
        name: value.strftime("%Y-%m-%dT%H:%M") if isinstance(value, datetime.datetime) else value
        for name, value in values.items()
        if value not in (None, "", False)
    }


def send(client, record, **sent):
    address = change_address_of(record)
    return client.post(address, {**as_shown(client, address), **sent}, follow=True)


def test_every_kind_says_how_it_is_changed():
    said = [*CHANGES, *ON_ITS_OWN_PAGE, *TRIED_IN, *NOT_CHANGED]
    assert sorted(said) == [kind.key for kind in kinds()]


@pytest.mark.parametrize("key", sorted(by_key))
@pytest.mark.one_database("where a record is changed is a word about its kind")
def test_what_is_said_of_changing_it_is_so(key):
    record = by_key[key].make()
    address = change_address_of(record)
    if key in NOT_CHANGED:
        assert address == ""
    elif key in ON_ITS_OWN_PAGE:
        assert not address.startswith("/change/")
        assert (ROOT / ON_ITS_OWN_PAGE[key]).is_file()
    else:
        assert address == reverse("program:change", args=[key, record.pk])


@of_each_change
def test_it_is_changed_with_who_and_how_it_was(owner, key):
    record, change = by_key[key].make(), CHANGES[key]
    assert not change.stands(anew(record))
    page = send(signed_in(owner), record, **change.sent(record))
    assert page.status_code == 200
    assert "is changed." in words(page)
    assert change.stands(anew(record))
    history = words(signed_in(owner).get(change_address_of(record)))
    assert "Jo: changed" in history
    assert change.told in history


@of_each_change
def test_saved_as_it_is_shown_nothing_is_different(as_keeper, key):
    record = by_key[key].make()
    before = {**vars(anew(record)), "_state": None}
    assert send(as_keeper, record).status_code == 200
    assert {**vars(anew(record)), "_state": None} == before


@of_each_change
def test_what_is_withdrawn_is_first_brought_back(as_keeper, key):
    record, change = by_key[key].make(), CHANGES[key]
    sent = {**as_shown(as_keeper, change_address_of(record)), **change.sent(record)}
    as_keeper.post(reverse("program:withdraw", args=[key, record.pk]), {"reason": "Izar"})
    page = as_keeper.post(change_address_of(record), sent)
    assert "is withdrawn; bring it back before it is changed." in words(page)
    assert not change.stands(anew(record))


@of_each_change
def test_two_at_once_do_not_write_over_each_other(owner, as_keeper, key):
    record, change = by_key[key].make(), CHANGES[key]
    address = change_address_of(record)
    sent = {**as_shown(as_keeper, address), **change.sent(record), "seen": "another"}
    page = as_keeper.post(address, sent)
    assert page.status_code == 200
    assert "while you had it open" in words(page)
    assert not change.stands(anew(record))


@of_each_return
def test_it_is_brought_back_and_counts_as_before(owner, key):
    case = by_key[key]
    record, client = case.make(), signed_in(owner)
    client.post(reverse("program:withdraw", args=[key, record.pk]), {"reason": "It was Izar"})
    assert not case.counts(anew(record))
    page = client.post(reverse("program:bring_back", args=[key, record.pk]), follow=True)
    assert page.status_code == 200
    assert "counts again." in words(page)
    assert case.counts(anew(record))
    again = client.post(reverse("program:bring_back", args=[key, record.pk]))
    assert again.status_code == 422
    assert "counts already." in words(again)


def test_a_rest_is_brought_back_to_the_day(owner):
    rest, client = by_key["rest"].make(), signed_in(owner)
    client.post(reverse("program:withdraw", args=["rest", rest.pk]), {"reason": "It was Izar"})
    assert not by_key["rest"].counts(anew(rest))
    client.post(reverse("program:bring_back", args=["rest", rest.pk]))
    assert by_key["rest"].counts(anew(rest))


def test_a_viewer_changes_nothing(viewer):
    record = by_key["sighting"].make()
    address = change_address_of(record)
    assert signed_in(viewer).get(address).status_code == 403
    assert signed_in(viewer).post(address, {"note": "slip"}).status_code == 403
    assert anew(record).note == ""
