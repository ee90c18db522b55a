"""What a list does with pages, words of its count, two days, and the columns somebody chose."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.program.models import ShownColumns
from tests import cast
from tests.lists import headings, names, page_of

pytestmark = pytest.mark.django_db
COLUMNS = reverse("program:columns", args=["animals:index"])
USUAL = ["Picture", "Animal", "Sex", "Species", "Born", "F", "Known", "State"]


@pytest.fixture
def many(owner):
    Animal.objects.bulk_create(
        Animal(code=f"R{number:03d}", call_name="", sex="FM"[number % 2]) for number in range(120)
    )


def test_fifty_rows_stand_on_a_page_and_the_last_has_the_rest(as_viewer, many):
    assert names(as_viewer, "animals:index", page=2)[0].endswith("R050")
    assert len(names(as_viewer, "animals:index", page=2)) == 50
    assert len(names(as_viewer, "animals:index", page=3)) == 20
    assert "page 3 of 3" in page_of(as_viewer, "animals:index", page="9" * 400)
    assert "page 1 of 3" in page_of(as_viewer, "animals:index", page="x", per_page="0")


def test_the_count_says_how_many_of_how_many(as_viewer, many):
    assert "120 animals" in page_of(as_viewer, "animals:index")
    assert "60 of 120 animals" in page_of(as_viewer, "animals:index", sex="M")
    Animal.objects.exclude(code="R001").delete()
    assert "1 animal<" in page_of(as_viewer, "animals:index")


def test_pages_and_sorting_keep_what_was_asked(as_viewer, many):
    page = page_of(as_viewer, "animals:index", sex="M", sort="-name")
    assert "sex=M&amp;sort=-name&amp;page=2" in page
    assert '<input type="hidden" name="sort" value="-name">' in page


def test_columns_are_kept_for_the_one_who_chose_them(as_viewer, as_keeper):
    cast.female("Mira", dam=cast.female("Vega"))
    assert headings(as_viewer, "animals:index") == USUAL
    sent = {"column": ["sex", "dam", "nothing"], "query": "sex=F&page=1"}
    answer = as_viewer.post(COLUMNS, sent)
    assert answer.url == f"{reverse('animals:index')}?sex=F&page=1"
    assert headings(as_viewer, "animals:index") == ["Picture", "Animal", "Sex", "Dam"]
    assert '<td data-said="dam"><a href=' in page_of(as_viewer, "animals:index", q="Mira")
    assert headings(as_keeper, "animals:index") == USUAL


def test_columns_go_back_to_those_shown_at_first(as_viewer):
    cast.female("Mira")
    assert "Back to the first choice" not in page_of(as_viewer, "animals:index")
    as_viewer.post(COLUMNS, {"column": ["sex"]})
    assert "Back to the first choice" in page_of(as_viewer, "animals:index")
    as_viewer.post(COLUMNS, {"reset": "1"})
    assert headings(as_viewer, "animals:index") == USUAL
    assert not ShownColumns.objects.exists()


def test_no_column_ticked_leaves_what_opens_the_row(as_viewer):
    cast.female("Mira")
    as_viewer.post(COLUMNS, {})
    assert headings(as_viewer, "animals:index") == ["Picture", "Animal"]


def test_a_column_that_is_no_more_is_left_out(as_viewer, viewer):
    cast.female("Mira")
    ShownColumns.objects.create(
        person=viewer, list_key="animals:index", columns=["gone", "born", 7, None]
    )
    assert headings(as_viewer, "animals:index") == ["Picture", "Animal", "Born"]


def test_columns_of_no_list_are_refused(as_viewer):
    for key in ("animals:detail", "nothing", "program:columns"):
        assert as_viewer.post(reverse("program:columns", args=[key])).status_code == 404
    assert as_viewer.get(COLUMNS).status_code == 405


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (
            {"since": "2026-02-30"},
            "“2026-02-30” is not possible for “Since”; allowed is a day from",
        ),
        ({"since": "0001-01-01"}, "allowed is a day from 1900-01-01 to 2999-12-31"),
        ({"until": "9999-12-31"}, "“9999-12-31” is not possible for “Until”"),
        (
            {"since": "2026-03-02", "until": "2026-03-01"},
            "1 March 2026 is before 2 March 2026; the second is the later.",
        ),
        ({"by": "999"}, "“999” is not possible for “By”"),
        ({"kind": "x"}, "“x” is not possible for “Sign”"),
        ({"severity": "9"}, "“9” is not possible for “Severity”; allowed is one of “1 and more”"),
    ],
)
def test_what_cannot_be_looked_for_is_said_with_its_value(as_viewer, asked, said):
    from tests.pairings.acts import see

    see(cast.female("Mira"))
    page = page_of(as_viewer, "pairings:sightings", **asked)
    assert said in page
    assert "Nothing is shown: something above cannot be searched for." in page
    assert names(as_viewer, "pairings:sightings", **asked) == []


def test_people_are_found_by_name_role_and_account(as_owner, keeper, viewer):
    viewer.is_active = False
    viewer.save()
    assert names(as_owner, "program:people") == ["Jo", "Sam", "Kit"]
    assert names(as_owner, "program:people", q="sa") == ["Sam"]
    assert names(as_owner, "program:people", role="owner") == ["Jo"]
    assert names(as_owner, "program:people", account="closed") == ["Kit"]
    assert names(as_owner, "program:people", account="open") == ["Jo", "Sam"]
    assert names(as_owner, "program:people", sort="-username") == ["Sam", "Kit", "Jo"]


def test_what_is_not_known_comes_last_and_what_always_is_is_sorted_by_its_index(as_viewer, owner):
    mira, vega, deneb = cast.female("Mira"), cast.female("Vega"), cast.male("Deneb")
    cast.see(mira, 3)
    cast.see(mira, 2, male=deneb)
    cast.see(vega, 1)
    for sort in ("male", "-male"):
        assert names(as_viewer, "pairings:sightings", sort=sort)[0] == "Mira"
    with CaptureQueriesContext(connection) as asked:
        assert names(as_viewer, "pairings:sightings") == ["Vega", "Mira", "Mira"]
    said = [one["sql"] for one in asked if 'ORDER BY "pairings_sighting"."seen_at"' in one["sql"]]
    assert said
    assert not any("NULLS" in one for one in said)
