"""What holds of every list: as many questions for more rows, and a page whatever is asked."""

import datetime
import itertools
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

import breeding.urls  # noqa: F401 - a list is known once its page is
from breeding.agenda.own.acts import set_reminder
from breeding.animals.models import Animal
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.buyers.models import Contact, Reservation
from breeding.buyers.waiting import add_wish
from breeding.feeding.models import Feeding, Food
from breeding.feeding.services import feed
from breeding.housing.models import (
    Tank,
    TankWork,
    WaterChange,
    WaterSource,
    WaterSystem,
    WaterTest,
)
from breeding.housing.services import move_animal
from breeding.housing.water.services import record_water_test
from breeding.housing.work.care import record_work
from breeding.housing.work.changes import record_changes
from breeding.litters.services import PupFacts, record_birth
from breeding.program import clock
from breeding.program.lists.page import LISTS
from breeding.program.services import add_person
from breeding.sheets.models import Sheet, SheetWithdrawal
from tests import cast
from tests.cast import pair, program_now, see
from tests.lists import headings, names, page_of, taken_out

pytestmark = pytest.mark.django_db
NUMBERS = itertools.count(1)


def ray(sex="F"):
    return cast.ray(f"Star {next(NUMBERS)}", sex, pure="motoro")


def litter():
    record_birth(
        dam=ray(),
        born_on=clock.today() - datetime.timedelta(days=10),
        pups=[PupFacts(disc_width_mm=99), PupFacts(alive=False)],
        today=clock.today(),
        by=None,
    )


def tank():
    system = WaterSystem.objects.create(name=f"Sump {next(NUMBERS)}")
    made = Tank.objects.create(name=f"Tank {next(NUMBERS)}", system=system)
    move_animal(ray(), made, on=clock.today(), by=None)
    record_water_test(made, tested_at=clock.now(), now=clock.now(), by=None, ph=7)


def water_change():
    made = Tank.objects.create(name=f"Tank {next(NUMBERS)}", volume_litres=900)
    source = WaterSource.objects.create(name=f"Butt {next(NUMBERS)}", comes_from="rain")
    more = {"program": program_now(), "percent": 30, "source": source, "by": None}
    record_changes([made], changed_at=clock.now(), now=clock.now(), **more)
    record_work(made, kind="filter", on=clock.today(), today=clock.today(), by=None)


def person():
    name = f"p{next(NUMBERS)}"
    add_person(username=name, called=name, password=cast.PASSWORD, role="viewer")


def wish():
    contact = Contact.objects.create(name=f"Ida {next(NUMBERS)}")
    add_wish(contact, by=None, wished_on=clock.today(), sex="M")
    Reservation.objects.create(contact=contact, animal=ray(), reserved_on=clock.today())


def sheet():
    contact = Contact.objects.create(name=f"Ida {next(NUMBERS)}")
    facts = {"number": f"26-{next(NUMBERS)}", "issued_on": clock.today(), "facts": {}}
    issued = Sheet.objects.create(animal=ray(), contact=contact, **facts)
    SheetWithdrawal.objects.create(sheet=issued, withdrawn_on=clock.today(), reason="A slip.")


def reminder():
    facts = {"text": f"Order worms {next(NUMBERS)}", "animal": ray(), "every_days": 7}
    set_reminder(**facts, on=clock.today(), by=None, today=clock.today())


def arrival():
    contact = Contact.objects.create(name=f"Ida {next(NUMBERS)}")
    Arrival.objects.create(animal=ray(), on=clock.today(), contact=contact)


def loan():
    contact = Contact.objects.create(name=f"Ida {next(NUMBERS)}")
    LoanAgreement.objects.create(
        animal=ray(), direction="in", since=clock.today(), contact=contact, young_owed=2
    )


def fed():
    tank = Tank.objects.create(name=f"Tank {next(NUMBERS)}")
    food = Food.objects.create(name=f"Food {next(NUMBERS)}")
    eaters = {ray(): "all", ray(): "none"}
    feed(eaters, food=food, tank=tank, fed_at=clock.now(), now=clock.now(), by=None, sure=cast.SURE)


GROW = {
    "agenda:own": reminder,
    "animals:index": ray,
    "litters:index": litter,
    "pairings:index": lambda: pair(ray(), ray("M"), 9, 3),
    "pairings:sightings": lambda: see(ray(), male=ray("M")),
    "feeding:rounds": fed,
    "housing:tanks": tank,
    "housing:water_tests": tank,
    "housing:changes": water_change,
    "housing:works": water_change,
    "program:people": person,
    "buyers:index": wish,
    "buyers:wishes": wish,
    "sheets:index": sheet,
    "arrivals:index": arrival,
    "arrivals:loans": loan,
}
DATED = ("housing:water_tests", "housing:changes", "housing:works", "feeding:rounds")
OPENED_BY_A_MOMENT = {
    "housing:water_tests": (WaterTest, "tested_at"),
    "feeding:rounds": (Feeding, "fed_at"),
    "housing:changes": (WaterChange, "changed_at"),
    "housing:works": (TankWork, "on"),
}
every_list = pytest.mark.parametrize("route", list(GROW))


def shown_whole(client, route):
    """With every column there is."""
    address = reverse("program:columns", args=[route])
    assert client.post(address, {"column": LISTS[route].choosable()}).url == reverse(route)


def test_what_stands_before_a_value_on_a_phone_is_of_every_language():
    as_written = {
        said
        for table in LISTS.values()
        for one in table.base_columns.values()
        if isinstance(said := one.attrs.get("td", {}).get("data-said"), str)
    }
    assert as_written == {"F"}  # which is F in every language


def test_every_list_is_tried_here():
    assert set(GROW) == set(LISTS)


@every_list
def test_ten_more_rows_cost_no_more_questions(as_owner, route):
    def questions():
        with CaptureQueriesContext(connection) as asked:
            page_of(as_owner, route)
        return len(asked)

    GROW[route]()
    shown_whole(as_owner, route)
    questions()  # the first visit after a change reads the lineage once
    before = questions()
    shown = len(names(as_owner, route))
    for _ in range(10):
        GROW[route]()
    questions()
    assert questions() <= before < 26
    assert len(names(as_owner, route)) >= shown + 10


@every_list
def test_what_opens_the_row_sorts_up_and_down(as_owner, route):
    for _ in range(3):
        GROW[route]()
    opens = LISTS[route].always[-1 if route == "animals:index" else 0]
    if route in DATED:  # a moment, or a day
        up = names(as_owner, route, sort=opens)
        assert sorted(names(as_owner, route, sort=f"-{opens}")) == sorted(up)
        return
    up = [one.casefold() for one in names(as_owner, route, sort=opens)]
    assert len(up) > 2
    assert up == sorted(up)
    down = [one.casefold() for one in names(as_owner, route, sort=f"-{opens}")]
    assert down == sorted(up, reverse=True)


@every_list
def test_every_column_sorts_whatever_is_unknown(as_owner, route):
    GROW[route]()
    expected = sorted(names(as_owner, route))
    for column, way in itertools.product(LISTS[route].base_columns, ("", "-")):
        assert sorted(names(as_owner, route, sort=f"{way}{column}")) == expected


HOSTILE = ("a\x00b", "9" * 400, "9999-12-31", "<script>alert(1)</script>")


@every_list
def test_any_query_is_answered_by_a_page(as_owner, route):
    GROW[route]()
    fields = as_owner.get(reverse(route)).context["listed"].filter.form.fields
    for field, value in itertools.product(fields, HOSTILE):
        assert "<script>alert" not in page_of(as_owner, route, **{field: value})
    for value in (*HOSTILE, "", "a.b", "--name", "-1", "0", "٣", "x" * 20_000):
        asked = dict.fromkeys(("sort", "page", "per_page", "column"), value)
        assert names(as_owner, route, **asked) == names(as_owner, route)
    assert page_of(as_owner, route, **dict.fromkeys(fields, "²"))


@every_list
def test_without_a_row_a_list_says_what_to_do_first(as_owner, route):
    listed = as_owner.get(reverse(route)).context["listed"]
    if listed.total:  # the owner
        assert route == "program:people"
    else:
        assert listed.first in page_of(as_owner, route).replace("&#x27;", "'")
        assert listed.first.endswith(".")


@every_list
def test_what_matches_nothing_can_be_cleared(as_owner, route):
    GROW[route]()
    page = page_of(as_owner, route, q="nobody is called so")
    assert names(as_owner, route, q="nobody is called so") == []
    assert f'<a href="{reverse(route)}">Clear the search</a>' in page
    assert f"No {LISTS[route].one} matches." in page
    assert f"0 of {as_owner.get(reverse(route)).context['listed'].total} " in page
    assert "Clear the search" not in page_of(as_owner, route)


@every_list
def test_a_list_is_taken_out_with_the_columns_that_are_shown_and_all_its_rows(as_owner, route):
    for _ in range(3):
        GROW[route]()
    shown_whole(as_owner, route)
    page = page_of(as_owner, route)
    assert '<a href="?as=csv" download>Download this list (CSV)</a>' in page
    columns, rows = taken_out(as_owner, route)
    assert columns == said_columns(as_owner, route)
    assert opening(rows) == in_figures(names(as_owner, route), route)


def said_columns(client, route):
    """The columns that a file can hold: not those of portraits, papers and buttons."""
    return [one for one in headings(client, route) if one not in ("Picture", "File", "What to do")]


def opening(rows):
    return [row[0] for row in rows]


def in_figures(opens, route):
    """A moment that opens a row stands in figures in a file."""
    if route not in OPENED_BY_A_MOMENT:
        return opens
    model, day = OPENED_BY_A_MOMENT[route]
    assert all(re.match(r"(Sun|Mon|Tue|Wed|Thu|Fri|Sat) ", one) for one in opens)
    rows = [getattr(one, day) for one in model.objects.order_by(f"-{day}", "-pk")]
    if day == "on":
        return [f"{one:%Y-%m-%d}" for one in rows]
    return [f"{timezone.localtime(one):%Y-%m-%d %H:%M}" for one in rows]


@every_list
def test_a_list_is_taken_out_narrowed_and_sorted_as_it_stands(as_owner, route):
    for _ in range(3):
        GROW[route]()
    assert taken_out(as_owner, route, q="nobody is called so")[1] == []
    for sort in (LISTS[route].always[-1], f"-{LISTS[route].always[-1]}"):
        rows = taken_out(as_owner, route, sort=sort, page="2")[1]
        if route in OPENED_BY_A_MOMENT and not sort.startswith("-"):
            assert opening(rows) == sorted(opening(rows))
        else:
            assert opening(rows) == in_figures(names(as_owner, route, sort=sort), route)


@every_list
def test_whoever_may_not_see_a_list_or_a_column_cannot_take_it_out(as_viewer, route):
    GROW[route]()
    if as_viewer.get(reverse(route)).status_code == 403:
        assert as_viewer.get(reverse(route), {"as": "csv"}).status_code == 403
        return
    columns, rows = taken_out(as_viewer, route)
    assert columns == said_columns(as_viewer, route)
    assert opening(rows) == in_figures(names(as_viewer, route), route)


def test_what_cannot_be_looked_for_is_said_on_the_page_and_not_in_a_file(as_owner):
    see(ray())
    asked = {"since": "yesterday", "as": "csv"}
    page = page_of(as_owner, "pairings:sightings", **asked)
    assert "something above cannot be searched for" in page


def test_a_list_of_more_than_a_page_is_taken_out_whole(as_viewer):
    many = 1001
    Animal.objects.bulk_create(
        Animal(code=f"R{number:04d}", call_name="=1+1" if number % 2 else "Mira")
        for number in range(many)
    )
    columns, rows = taken_out(as_viewer, "animals:index", sort="name", page="3")
    assert columns == ["Animal", "Sex", "Species", "Born", "F", "Known", "State"]
    assert len(rows) == many
    assert rows[0][:2] == ["'=1+1 R0001", "unknown"]
    assert rows[-1][:2] == ["Mira R1000", "unknown"]


def test_words_that_the_page_cuts_short_go_out_whole(as_keeper):
    wish = "a pair of young ones, " * 20
    Contact.objects.create(name="Ida & Co <b>", wish=wish.strip())
    columns, rows = taken_out(as_keeper, "buyers:index")
    ((name, words),) = [(row[0], row[columns.index("Wish")]) for row in rows]
    assert (name, words) == ("Ida & Co <b>", wish.strip())


def test_days_go_out_in_figures_as_far_as_they_are_known(as_viewer):
    for on, precision in (("2024-05-03", "day"), ("2024-05-01", "month"), ("2024-01-01", "year")):
        cast.ray(f"A {precision}", "U", born_on=cast.day(on), born_precision=precision)
    cast.ray("Nobody knows")
    pair(ray(), ray("M"), "2024-06-01", "2024-06-20")
    columns, rows = taken_out(as_viewer, "animals:index", q="A")
    born = {row[0].split(" 0")[0]: row[columns.index("Born")] for row in rows}
    assert (born["A day"], born["A month"], born["A year"]) == ("2024-05-03", "2024-05", "2024")
    columns, ((_, since, until, *_),) = taken_out(as_viewer, "pairings:index")
    assert columns[1:3] == ["Since", "Until"]
    assert (since, until) == ("2024-06-01", "2024-06-20")
