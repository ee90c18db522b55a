"""A viewer reads no buyer's name, address or wish on any page, unless an owner says so."""

from collections.abc import Iterator
from contextlib import closing

import pytest
from django.test import Client
from django.urls import reverse

from breeding.agenda.sent.outbox import _Day
from breeding.agenda.services import answer_line, open_feed
from breeding.animals.models import Animal
from breeding.buyers.hand_overs import hand_over, take_back
from breeding.buyers.models import HandOver, Reservation
from breeding.buyers.services import add_contact, reserve_animal
from breeding.buyers.waiting import add_wish
from breeding.program import clock
from breeding.program.models import Person
from breeding.program.queries import the_program
from breeding.program.services import change_person, withdraw
from breeding.sheets.services import issue_sheet
from tests import cast
from tests.everything import everything
from tests.routes import ROUTES, addresses

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("pages are alike on each of them")]

NAME = "Quillonby"
# Each stands in another field of what is written of this buyer.
WRITTEN = {
    "name": NAME,
    "reach": "heronlane@post.example",
    "wish in words": "onlywithwhitespots",
    "note of a wish": "ringsbeforenoon",
    "note of a reservation": "paysinautumn",
    "note of a hand-over": "gatecodeofthebarn",
    "why it came back": "theirtankleaked",
    "note of an answer": "promisedbyphone",
}
ENDS = ("program:sign_out",)


@pytest.fixture(scope="module")
def written(kept_for_the_file):
    """One of everything, and a buyer of whom every field holds a word of its own."""
    everything()
    keeper, today = Person.objects.get(username="sam"), clock.today()
    buyer = add_contact(by=keeper, name=NAME, reach=WRITTEN["reach"], wish=WRITTEN["wish in words"])
    add_wish(buyer, by=keeper, wished_on=today, note=WRITTEN["note of a wish"])
    mira, deneb = (Animal.objects.get(call_name=name) for name in ("Mira", "Deneb"))
    reserve_animal(
        deneb, buyer, by=keeper, on=today, until=today, note=WRITTEN["note of a reservation"]
    )
    issue_sheet(mira, by=keeper, on=today, contact=buyer)
    gone = hand_over(
        cast.female("Lyra", pure="motoro"),
        buyer,
        by=keeper,
        program=the_program(),
        on=today,
        today=today,
        transport="courier",
        has_read_cautions=True,
        note=WRITTEN["note of a hand-over"],
    )
    take_back(gone, on=today, today=today, by=keeper, because=WRITTEN["why it came back"])
    wish = buyer.wishes.get()
    answer_line(f"wish:{wish.pk}:x", by=keeper, today=today, note=WRITTEN["note of an answer"])


def signed_in(person: Person) -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(person)
    return client


def pages_of(client: Client, **asked: str) -> Iterator[str]:
    """Every page there is, one after the other; those of any kind of record, a thousand, last."""
    for route, parts in sorted(ROUTES, key=lambda one: "kind" in one[1]):
        for address in addresses(route, parts) if route not in ENDS else ():
            with closing(client.get(address, asked)) as answer:
                if answer.get("Content-Type", "").startswith(("text/", "application/json")):
                    yield f"\n@@ {address}\n{answer.getvalue().decode()}"


def read_by(client: Client, **asked: str) -> str:
    return "".join(pages_of(client, **asked))


def words_read_by(client: Client) -> set[str]:
    """What of the buyer stands on any page; when all of it was found no further page is read."""
    found: set[str] = set()
    for page in pages_of(client):
        found |= {what for what, word in WRITTEN.items() if word in page}
        if found == WRITTEN.keys():
            break
    return found


def found_in(pages: str) -> dict[str, list[str]]:
    """Where each of the words stands."""
    return {
        what: [one.partition("\n")[0] for one in pages.split("\n@@ ") if word in one]
        for what, word in WRITTEN.items()
        if word in pages
    }


def test_a_viewer_reads_nothing_of_a_buyer_on_any_page(written):
    assert found_in(read_by(signed_in(Person.objects.get(username="kit")))) == {}


def test_an_owner_reads_all_of_it_by_the_same_walk(written):
    assert words_read_by(signed_in(Person.objects.get(username="jo"))) == WRITTEN.keys()


def test_a_viewer_whom_an_owner_lets_see_buyers_reads_it(written):
    kit = Person.objects.get(username="kit")
    change_person(kit, called="Kit", role="viewer", is_active=True, sees_buyers=True)
    assert words_read_by(signed_in(kit)) == WRITTEN.keys()


@pytest.mark.parametrize("word", WRITTEN.values(), ids=WRITTEN.keys())
@pytest.mark.parametrize("page", ["sheets:index", "records:chronicle", "animals:index"])
def test_a_viewer_does_not_find_a_buyer_by_searching(written, page, word):
    client = signed_in(Person.objects.get(username="kit"))

    def rows(asked: str) -> list[str]:
        text = client.get(reverse(page), {"q": asked}).content.decode()
        return sorted(one for one in text.replace(asked, "").splitlines() if 'href="/' in one)

    assert rows(word) == rows("nobodywritesthis")


def test_the_sorting_and_narrowing_of_a_list_tell_nothing(written):
    client = signed_in(Person.objects.get(username="kit"))
    for asked in ({"contact": "2"}, {"sort": "contact"}, {"contact": "x"}):
        page = client.get(reverse("sheets:index"), asked)
        assert page.status_code == 200
        assert NAME not in page.content.decode()
        assert cast.words(page).count("<tr") == cast.words(
            client.get(reverse("sheets:index"))
        ).count("<tr")


def test_withdrawn_records_tell_a_viewer_no_reason(written):
    keeper, now = Person.objects.get(username="sam"), clock.now()
    for record in (
        Reservation.objects.get(contact__name=NAME, fulfilled_on=None),
        HandOver.objects.get(contact__name=NAME),
    ):
        withdraw(record, by=keeper, now=now, reason=f"{NAME} moved away")
    client = signed_in(Person.objects.get(username="kit"))
    assert found_in(read_by(client, withdrawn="on")) == {}


def test_calendars_and_digests_of_a_viewer_say_nothing_of_buyers(written):
    kit, jo = (Person.objects.get(username=name) for name in ("kit", "jo"))
    read = {}
    for person in (jo, kit, jo):
        token = open_feed(person, now=clock.now())
        calendar = Client().get(reverse("agenda:feed", args=[token])).content.decode()
        read.setdefault(person, []).append(calendar.replace("\r\n ", ""))
    assert "reservation" in read[jo][0].lower()
    assert "reservation" not in read[kit][0].lower()
    assert "somebody waits" not in read[kit][0]
    assert read[jo][1].count("CANCELLED") == 0  # what one may not read has not fallen
    day = _Day(the_program(), clock.today())
    assert any(one.kind.is_of_buyers for one in day.lines_for(jo))
    assert not any(one.kind.is_of_buyers for one in day.lines_for(kit))


def test_a_person_may_see_buyers_by_role_or_because_an_owner_says_so():
    def may(**facts) -> bool:
        return Person(**facts).may_see_buyers

    assert may(role="owner")
    assert may(role="keeper")
    assert not may(role="viewer")
    assert may(role="viewer", sees_buyers=True)
    assert not may(role="owner", is_active=False)
    assert not may(role="viewer", sees_buyers=True, is_active=False)


def test_a_viewer_reads_that_an_animal_is_kept_and_not_for_whom(written):
    client = signed_in(Person.objects.get(username="kit"))
    deneb, lyra = (Animal.objects.get(call_name=name) for name in ("Deneb", "Lyra"))
    assert "Reserved for a buyer." in cast.words(client.get(deneb.get_absolute_url()))
    said = cast.words(client.get(lyra.get_absolute_url()))
    assert "Went to a buyer" in said
    assert "Came back" in said
