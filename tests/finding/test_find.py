"""Anything is found by what was typed: the exact code first, slips forgiven, by who may read it."""

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from breeding.animals.services import change_animal, change_state
from breeding.buyers import erasing, services
from breeding.finding.found import Result, _load, kinds_for
from breeding.finding.found import find as found_by
from breeding.finding.models import Built, Entry
from breeding.finding.ranking import Rank
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.program import clock
from breeding.program.found import found_named
from breeding.program.models import Person
from breeding.program.services import withdraw
from tests import cast
from tests.cast import words
from tests.everything import everything

pytestmark = pytest.mark.django_db
ADDRESS = reverse("finding:find")


def found(typed, person, **more):
    """What is found, by its group: the names in their order."""
    answer = found_by(typed, person, **more)
    return {group.name: [str(one.record) for one in group.shown] for group in answer.groups}


def page(client, typed, **more):
    return words(client.get(ADDRESS, {"q": typed, "all": 1, **more}))


def test_by_code_by_name_and_by_a_part_of_either(owner):
    vega = cast.female("Vega")
    cast.male("Rigel")
    for typed in (vega.code, vega.code.lower(), vega.code.replace("-", " "), "vega", "Veg", "ega",
                  f"Vega ({vega.code})", f"{vega.code} vega"):  # fmt: skip
        assert found(typed, owner)["animals"][0] == "Vega", typed


def test_the_exact_name_stands_before_those_that_begin_so(owner):
    for name in ("Mirabel", "Mira", "Samira", "Miranda"):
        cast.female(name)
    assert found("mira", owner)["animals"] == ["Mira", "Miranda", "Mirabel", "Samira"]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("Vgea", "Vega"),
        ("vegs", "Vega"),
        ("Sulaft", "Sulafat"),
        ("sulafaat", "Sulafat"),
        ("Zubeneschmali", "Zubeneschamali"),
        ("zubneschamaly", "Zubeneschamali"),
    ],
)
def test_a_slip_is_forgiven(owner, typed, meant):
    for name in ("Vega", "Sulafat", "Zubeneschamali"):
        cast.female(name)
    assert found(typed, owner) == {"animals": [meant]}


def test_a_code_with_another_figure_is_another_animal(owner):
    for number in range(3):
        cast.ray(code=f"26-01-{number}")
    assert found("26-01-7", owner) == {}


def test_words_in_notes_and_in_sightings_with_a_slip_too(as_owner, owner):
    vega = cast.female("Vega")
    cast.see(vega, note="Bitten at the left rim")
    for typed in ("bitten", "left rim", "rim bitten", "biten"):
        (notes,) = found(typed, owner).values()
        assert len(notes) == 1, typed
    assert "<mark>Bitten</mark> at the left rim" in page(as_owner, "bitten")


def test_one_that_is_gone_is_found_and_said_to_be_gone(as_owner, owner):
    vega, rigel, mira = cast.female("Vega"), cast.male("Rigel"), cast.female("Mira")
    today = clock.today()
    change_state(vega, state="died", on=today, by=None)
    change_state(rigel, state="left", on=today, by=None)
    move_animal(mira, Tank.objects.create(name="Pool"), on=today, by=None)
    assert "Vega" in page(as_owner, "vega")
    assert "died on" in page(as_owner, "vega")
    assert "left on" in page(as_owner, "rigel")
    assert "in Pool" in page(as_owner, "mira")


def test_what_is_withdrawn_is_found_by_who_writes_and_said_to_be_withdrawn(
    as_keeper, as_viewer, owner
):
    tank = Tank.objects.create(name="Hall")
    withdraw(tank, by=owner, now=clock.now(), reason="written twice")
    assert "Withdrawn: written twice" in page(as_keeper, "hall")
    assert "Nothing is called “hall”" in page(as_viewer, "hall")


def test_one_that_counts_stands_before_one_that_was_withdrawn(owner):
    first = Tank.objects.create(name="Hall")
    withdraw(first, by=owner, now=clock.now(), reason="given up")
    second = Tank.objects.create(name="Hall")
    (group,) = found_by("hall", owner).groups
    assert [one.record.pk for one in group.shown] == [second.pk, first.pk]


def test_people_are_found_by_who_may_see_buyers_alone(as_keeper, as_viewer, owner, viewer):
    kim = services.add_contact(by=owner, name="Kim Lünd", reach="kim@example.org, +44 1632 960123")
    services.reserve_animal(cast.female("Vega"), kim, by=owner, on=clock.today(), note="via Kim")
    for typed in ("kim", "lund", "kim@example", "960123", "Kim Lünd"):
        assert "Kim Lünd" in page(as_keeper, typed), typed
        said = page(as_viewer, typed)
        assert "Nothing is called" in said
        assert "@example.org" not in said
    viewer.sees_buyers = True
    viewer.save()
    assert "Kim Lünd" in page(as_viewer, "kim")


def test_nobody_who_was_erased_is_found_or_stands_in_the_index(owner):
    kim = services.add_contact(by=owner, name="Kim Lünd", reach="kim@example.org")
    Tank.objects.create(name="Pool", note="built by Kim Lünd")
    assert "people" in found("lund", owner)
    erasing.erase_person(kim, by=owner, now=clock.now(), because="by letter")
    assert found("lund", owner) == {}
    for column in ("name", "words", "compact"):
        assert not Entry.objects.filter(**{f"{column}__contains": "lund"}).exists()
    assert Entry.objects.get(kind="tank", part="note").words == "built by a buyer"


def test_no_page_of_sqlites_own_index_holds_one_who_was_erased(owner):
    if connection.vendor != "sqlite":
        pytest.skip("of SQLite's own index")
    kim = services.add_contact(by=owner, name="Kim Qwyjibo", reach="")

    def is_there() -> bool:
        with connection.cursor() as cursor:
            cursor.execute("SELECT block FROM finding_words_data")
            return any(b"yji" in bytes(block) for (block,) in cursor.fetchall())

    assert is_there()
    erasing.erase_person(kim, by=owner, now=clock.now(), because="by letter")
    assert not is_there()


def test_a_code_opens_its_page_at_once_and_leads_back_to_all_that_fits(as_owner, owner):
    vega = cast.female("Vega")
    answer = as_owner.get(ADDRESS, {"q": vega.code})
    assert answer.url == vega.get_absolute_url()
    said = words(as_owner.get(answer.url))
    assert f"Opened by its code “{vega.code}”" in said
    assert f"{ADDRESS}?q={vega.code}&amp;all=1" in said
    assert as_owner.get(ADDRESS, {"q": vega.code, "all": 1}).status_code == 200
    assert as_owner.get(ADDRESS, {"q": "vega"}).status_code == 200


def test_what_was_typed_is_no_markup_wherever_it_is_said(as_owner):
    cast.ray(code="<b>x</b>")
    said = as_owner.get(ADDRESS, {"q": "<b>x</b>"}, follow=True).content.decode()
    assert "<b>x</b>" not in said
    assert "&lt;b&gt;x&lt;/b&gt;" in said


def test_the_script_gets_the_list_alone(as_owner):
    vega = cast.female("Vega")
    answer = as_owner.get(ADDRESS, {"q": vega.code}, headers={"hx-request": "true"})
    assert answer.status_code == 200
    assert "<html" not in answer.content.decode()
    assert "Vega" in words(answer)


def test_a_group_is_shown_whole_when_it_is_asked_for(as_owner):
    for number in range(9):
        cast.female(f"Mira {number}")
    some = page(as_owner, "mira")
    assert "All 9 of these" in some
    assert some.count("Mira ") < page(as_owner, "mira", **{"in": "animals"}).count("Mira ")


@pytest.mark.parametrize(
    "typed",
    ["", " ", "%", "_", '"', "'", "\x00", "a\x00b", "*", "NEAR(", "name : x", "AND", "()", "\\",
     "é☃", "a" * 3000, "x " * 90, "-", "12345678901234567890", "https://x/go/a1", "go/a999999",
     "go/a99999999999999999999"],
)  # fmt: skip
def test_nothing_that_can_be_typed_is_too_much(as_owner, typed):
    cast.female("Vega")
    assert as_owner.get(ADDRESS, {"q": typed}, follow=True).status_code in (200, 404)


def test_the_field_is_on_every_page_and_one_tap_away_on_a_phone(as_viewer, stranger):
    said = as_viewer.get(reverse("animals:index")).content.decode()
    assert f'<form class="search" role="search" action="{ADDRESS}">' in said
    assert f'<a class="to-search" href="{ADDRESS}">Find</a>' in said
    assert 'role="search"' not in stranger.get(reverse("program:sign_in")).content.decode()


def test_every_page_that_is_found_is_open_to_who_found_it(species_data):
    """Walks whatever can be found of a program with one of everything."""
    everything()
    for name in ("kit", "sam"):
        person = Person.objects.get(username=name)
        client = Client()
        client.force_login(person)
        for kind in kinds_for(person):
            records = set(Entry.objects.filter(kind=kind).values_list("record", flat=True))
            results = [Result(found_named(kind), pk, Rank(0), [], ()) for pk in records]
            _load(results)
            for one in results:
                assert client.get(one.address).status_code == 200, (name, kind, one.address)


def test_more_records_are_no_more_questions(as_owner, django_assert_max_num_queries):
    for number in range(3):
        cast.female(f"Mira {number}")
    with django_assert_max_num_queries(40) as few:
        page(as_owner, "mira")
    for number in range(3, 12):
        cast.female(f"Mira {number}", note="mira again")
    with django_assert_max_num_queries(len(few)):
        page(as_owner, "mira")


def test_without_an_index_by_three_letters_the_same_is_found_and_the_owner_is_told(
    as_owner, as_viewer, owner
):
    cast.female("Sulafat", note="Bitten at the rim")
    Built.objects.update(engine=Built.Engine.PLAIN)
    assert found("sulafta", owner) == {"animals": ["Sulafat"]}
    assert found("biten", owner) == {"animals": ["Sulafat"]}
    assert found("rim bitten", owner) == {"animals": ["Sulafat"]}
    assert "CREATE EXTENSION pg_trgm" in page(as_owner, "sulafat")
    assert "CREATE EXTENSION" not in page(as_viewer, "sulafat")


def test_the_last_written_is_no_worse_than_the_first(owner):
    change_animal(cast.female("Vega"), note="the water was cloudy")
    assert found("cloudy", owner)["animals"] == ["Vega"]
