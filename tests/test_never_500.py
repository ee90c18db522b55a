"""Whatever is asked or sent, the answer is a page with words: never a fault of the server."""

import datetime
import re
from html.parser import HTMLParser
from urllib.parse import urlencode

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import NoReverseMatch, get_resolver, reverse
from django.utils import timezone

from breeding.buyers.models import Contact, Reservation
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.models import SignKind
from breeding.pairings.services import log_sighting, open_pairing, record_scan
from breeding.program.queries import the_program
from tests import cast

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _no_copies_of_contexts(monkeypatch):
    """The test client copies the context of every template it draws; nobody looks at them here."""
    monkeypatch.setattr("django.test.client.store_rendered_templates", lambda *a, **k: None)


@pytest.fixture(autouse=True)
def _no_simulation_beside(monkeypatch):
    """A look ahead runs in a thread that cannot see what a test has written."""
    monkeypatch.setattr("breeding.planning.ahead.runs.run_beside", lambda asked: None)


ROOMS = (
    "agenda",
    "program",
    "animals",
    "housing",
    "pairings",
    "litters",
    "planning",
    "buyers",
    "records",
)
KEYS = (1, 2, 3, 999_999, 99_999_999_999_999_999_999)
TOKENS = ("dam", "nothing", "%00", "\x00", "..", "a" * 300, "é☃")


def routes() -> list[tuple[str, tuple[str, ...]]]:
    """Every named route of the rooms with the names of its parts."""
    found = []
    for room in ROOMS:
        if room not in get_resolver().namespace_dict:
            continue
        _, resolver = get_resolver().namespace_dict[room]
        for name, ways in resolver.reverse_dict.lists():
            if isinstance(name, str):
                parts = tuple(ways[0][0][0][1])
                found.append((f"{room}:{name}", parts))
    return sorted(set(found))


ROUTES = routes()


def is_number(part: str) -> bool:
    return part.endswith("pk") or part == "number"


def addresses(route: str, parts: tuple[str, ...]) -> list[str]:
    """The route's address with rows that are there and rows that are not."""
    found = []
    for key in KEYS if any(map(is_number, parts)) else (1,):
        for token in TOKENS if not all(map(is_number, parts)) else ("",):
            values = {part: key if is_number(part) else token for part in parts}
            try:
                found.append(reverse(route, kwargs=values))
            except NoReverseMatch:
                continue
    return found


GARBAGE = [
    "",
    " ",
    "\x00",
    "a\x00b",
    "x" * 20_000,
    "9" * 400,
    "-1",
    "1e999",
    "NaN",
    "Infinity",
    "0001-01-01",
    "9999-12-31",
    "9999-12-31T23:59",
    "0001-01-01T00:00",
    "2026-02-30",
    "99999999999999999999",
    "1/0",
    "0/0",
    "1/99999999999999999999999999999999999999999999999999999999999999999",
    "²",
    "٣",
    "\ud83d\ude41".encode("utf-16", "surrogatepass").decode("utf-16"),
    "<script>alert(1)</script>",
    "1",
    "F",
    "M",
]

FIELD_NAMES = """
girth_mm rest_days weight_loss_caution moved tick untick apart late_seen rest_seen
female male introduced_on separated_on separation_planned_on note reason
looked_at save look on kind severity seen_at
positive number_seen done_by asof dam born_on sire alive_count dead_count premature fate sex
disc_width_mm markings possible_sire_1 possible_share_1 possible_sire_2 possible_share_2
call_name origin state state_on born strain species_1 species_share_1 species_2 species_share_2
weight_g condition taken_on caption key put_off_until done tank name kind length_mm width_mm
height_mm volume_litres contact until place email phone journey_hours generations corrects
last_day renew close public_address paper username password
called role is_active program_name time_zone code_prefix length_unit weight_unit
temperature_unit volume_unit inbreeding_caution inbreeding_needs_reason planning_chance
bred_chance overdue_lateness separation_lead_days nursery_lead_days separate_at_severity
emergency_number poison_number veterinarian new_name wishes issue journey text next_step q
species page sort pups-TOTAL_FORMS pups-INITIAL_FORMS pups-MIN_NUM_FORMS pups-MAX_NUM_FORMS
pups-0-fate pups-0-sex pups-0-disc_width_mm pups-0-markings next step column_0 column_1
delimiter example
"""
NAMES = FIELD_NAMES.split()


ASKED = ("female", "male", "dam", "asof", "q", "species", "page", "sort", "contact", "sex", "next")
CROOKED_BODIES = [
    (b"female=%ff%fe&note=\xff\xfe", "application/x-www-form-urlencoded"),
    (b"{not json", "application/json"),
    (
        b'--x\r\nContent-Disposition: form-data; name="file"; filename="a\x00.jpg"\r\n\r\nx',
        "multipart/form-data; boundary=x",
    ),
    (b"", "multipart/form-data"),
]


def _not_a_picture() -> SimpleUploadedFile:
    return SimpleUploadedFile("portrait.jpg", b"\x00\xff not a picture", "image/jpeg")


def _no_bytes() -> SimpleUploadedFile:
    return SimpleUploadedFile("empty.csv", b"", "text/csv")


FURTHER_ROWS = re.compile(
    r"pups-[1-9]\d*-|(possible_sire|possible_share|species|species_share)_[2-9]"
)

WRONG = [
    "",
    "a\x00b",
    "9" * 30,
    "-1",
    "NaN",
    "0001-01-01",
    "9999-12-31T23:59",
    "1/0",
    "²",
    _not_a_picture,
]


@pytest.fixture(scope="module")
def owner(kept_for_the_file):
    return cast.owner()


@pytest.fixture(scope="module")
def family(owner):
    """A dam, a sire, a pup, a tank, a season under way and one of everything a page can show.

    Written once: every request is undone (`status`), and so is every test.
    """
    keeper = cast.keeper()
    today = timezone.localdate()
    mira = cast.female("Mira", pure="motoro")
    deneb = cast.male("Deneb", pure="motoro")
    tank = Tank.objects.create(name="Boathouse pool")
    move_animal(mira, tank, on=today - datetime.timedelta(days=300), by=keeper)
    start = today - datetime.timedelta(days=200)
    for since, until in ((start, start + datetime.timedelta(days=30)), (today, None)):
        open_pairing(
            female=mira,
            male=deneb,
            introduced_on=since,
            separated_on=until,
            program=the_program(),
            by=keeper,
            today=today,
        )
    record_birth(
        dam=mira,
        born_on=today - datetime.timedelta(days=80),
        pups=[PupFacts(), PupFacts(alive=False)],
        today=today,
        by=keeper,
    )
    for kind in SignKind.objects.all()[:3]:
        log_sighting(female=mira, kind=kind, seen_at=timezone.now(), now=timezone.now(), by=keeper)
    record_scan(female=mira, on=today, positive=True, today=today, by=keeper)
    contact = Contact.objects.create(name="Ida")
    Reservation.objects.create(animal=deneb, contact=contact, reserved_on=today, until=today)
    return mira


@pytest.fixture
def as_owner_at_work(owner):
    client = Client(raise_request_exception=False)
    client.force_login(owner)
    return client


IN_PARTS = "multipart/form-data"
URLENCODED = "application/x-www-form-urlencoded"


def status(client: Client, how: str, address: str, sent=None, *, enctype=URLENCODED) -> int:
    """The status; a file that is streamed is read to its end, and what was written is undone.

    A form is sent as a browser sends it: in parts only when the page says so or a file is sent.
    """
    with transaction.atomic():
        if how == "post" and enctype == URLENCODED:
            answer = client.post(address, urlencode(sent), content_type=URLENCODED)
        else:
            answer = getattr(client, how)(address, sent)
        if answer.streaming:
            b"".join(answer.streaming_content)
        transaction.set_rollback(True)
    return answer.status_code


every_route = pytest.mark.parametrize(
    ("route", "parts"), ROUTES, ids=[route for route, _ in ROUTES]
)


@every_route
def test_reading_any_address_never_breaks(as_owner_at_work, family, route, parts):
    asked = addresses(route, parts)
    assert asked
    assert [one for one in asked if status(as_owner_at_work, "get", one) >= 500] == []


@every_route
def test_asking_with_any_query_never_breaks(as_owner_at_work, family, route, parts):
    address = addresses(route, parts)[0]
    broken = [
        value[:40]
        for value in GARBAGE
        if status(as_owner_at_work, "get", address, dict.fromkeys(ASKED, value)) >= 500
    ]
    assert broken == []
    crooked = f"{address}?female=%ff%fe&asof=%00&dam=%c3&q=%ed%a0%80"
    assert status(as_owner_at_work, "get", crooked) < 500


@every_route
def test_sending_garbage_never_breaks(as_owner_at_work, family, route, parts):
    broken = [
        (address, value[:40])
        for address in addresses(route, parts)[:2]
        for value in GARBAGE
        if status(as_owner_at_work, "post", address, dict.fromkeys(NAMES, value)) >= 500
    ]
    assert broken == []
    for body, kind in CROOKED_BODIES:
        with transaction.atomic():
            answer = as_owner_at_work.post(addresses(route, parts)[0], body, content_type=kind)
            transaction.set_rollback(True)
        assert answer.status_code < 500, (body[:40], kind)


@every_route
def test_one_wrong_value_in_a_good_form_never_breaks(as_owner_at_work, family, route, parts):
    """Each form of the page is filled in well, and then with one value at a time that is not."""
    broken = []
    for address in addresses(route, parts)[:1]:
        page = as_owner_at_work.get(address)
        is_page = page.headers.get("content-type", "").startswith("text/html")
        if page.status_code != 200 or page.streaming or not is_page:
            continue
        for target, enctype, good in forms_on(page.content.decode(), address):
            if target.endswith("/sign-out/"):
                continue
            sound = status(as_owner_at_work, "post", target, good, enctype=enctype)
            assert sound < 500, (target, good)
            for name in good:
                if FURTHER_ROWS.match(name):
                    continue
                for value in WRONG:
                    sent = good | {name: value() if callable(value) else value}
                    how_sent = IN_PARTS if callable(value) else enctype
                    if status(as_owner_at_work, "post", target, sent, enctype=how_sent) >= 500:
                        broken.append((target, name, str(value)[:40]))
    assert broken == []


class FormReader(HTMLParser):
    """Reads the forms of a page that are sent by post, with a value for every field."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[tuple[str, str, dict[str, str]]] = []
        self.filled: dict[str, str] | None = None
        self.choosing = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.filled = {} if told.get("method") == "post" else None
            if self.filled is not None:
                enctype = told.get("enctype") or URLENCODED
                self.forms.append((told.get("action", ""), enctype, self.filled))
        if self.filled is None:
            return
        name = told.get("name", "")
        if tag == "select":
            self.choosing = name
            self.filled[name] = ""
        elif tag == "option":
            # What a datalist offers beside a line to type into belongs to no list of choices.
            if self.choosing and ("selected" in told or not self.filled[self.choosing]):
                self.filled[self.choosing] = told.get("value", "")
        elif tag == "textarea":
            self.filled[name] = "Some words"
        elif tag in ("input", "button") and name and name != "csrfmiddlewaretoken":
            if told.get("type") == "date":
                self.filled[name] = told.get("value") or timezone.localdate().isoformat()
            elif told.get("type") in ("radio", "checkbox"):
                self.filled.setdefault(name, told.get("value") or "on")
            elif told.get("type") == "file":
                self.filled[name] = ""
            else:
                self.filled.setdefault(name, told.get("value") or "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self.choosing = ""


def forms_on(page: str, address: str) -> list[tuple[str, str, dict[str, str]]]:
    reader = FormReader()
    reader.feed(page)
    return [(target or address, enctype, filled) for target, enctype, filled in reader.forms]
