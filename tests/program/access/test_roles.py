"""Who may do what, on every route there is: strangers nothing, viewers read, keepers write."""

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.program.models import Person
from tests import cast
from tests.routes import NAMES, ROUTES, address

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("roles are decided before any query")]


def in_rooms(**names: str) -> list[str]:
    return [f"{room}:{name}" for room, listed in names.items() for name in listed.split()]


# Every route stands once in one of these four; a new one is written down by who may open it.
OPEN_TO_STRANGERS = {
    "program:sign_in": 200,
    "program:favicon": 302,
    "program:language": 302,
    "program:manifest": 200,
    "program:worker": 200,
    "program:link": 410,
    "program:sign_in_code": 302,
    "exchange:check": 200,
    "agenda:feed": 404,
    "agenda:stop": 404,
    "sheets:shared": 404,
    "sheets:shared_file": 404,
    "sheets:shared_picture": 404,
    "offers:offer": 404,
    "offers:picture": 404,
}
FOR_VIEWERS_TO_READ = in_rooms(
    agenda="alike cards answer day feed_address own reminders send_again",
    animals="detail face family index named picture pictures species strains thumbnail",
    feeding="detail foods index rounds",
    finding="find go_animal go_tank keys labels",
    health="index quarantine treatment",
    help="chapter index words",
    exchange="index key_file keys prove taken",
    identity="alike answer compare picture spots square thumbnail who",
    housing="changes course detail house index sources stays systems tanks water water_tests "
    "waters works",
    litters="after detail index losses",
    origin="detail document file",
    pairings="company detail female her_water index logged nursery season seasonal sightings "
    "signs wounds year",
    planning=(
        "index line litter litters outlook pair season state table unknown waiting what_if year"
    ),
    program="account care columns end_session end_sessions kept kept_away more no_network once "
    "own_language password put_away sign_out two_step two_step_codes two_step_off",
    records="animal chronicle history",
    sheets="detail file index picture",
    traits="detail index",
)
FOR_KEEPERS = in_rooms(
    agenda="remind",
    animals="edit figures join_strain measure new new_species new_strain photograph state",
    arrivals="back came index kin lend loans new take_in year young",
    buyers="come_back detail edit hand_over index new reservation reserve waiting "
    "wish_edit wish_new wishes",
    feeding="join_food new_food some_animals tank",
    health="death end keep_apart let_out observe over treat visit",
    housing="again arrange change close_divider correct earlier edit join_source join_system look "
    "move move_all new new_source new_system open_divider rhythm tap_work "
    "water_test weigh work",
    exchange="give know said_one take update",
    identity="mark mark_untold use",
    litters="add_pup birth feed found join let_go move_pup new verdict weigh",
    offers="sales",
    origin="paper_new",
    pairings="log log_fed log_note log_water log_weighed new outcome plan scan separate sign",
    planning="accept ahead stop",
    program="bring_back change undo withdraw",
    records="columns give_up index place write",
    sheets="link new",
    traits="litter look new",
)
FOR_OWNERS = in_rooms(
    agenda="mail",
    buyers="erase",
    exchange="own_key",
    housing="limits",
    program="backup backups people person person_link person_sign_out person_two_step_off settings",
    records="archive check take_out",
    sheets="sharing",
)
# What a viewer may post to, about nobody but themselves, and the answer to nothing in particular.
FOR_VIEWERS_TO_POST = {
    "program:sign_out": 302,
    "program:columns": 404,
    "program:put_away": 404,
    "program:kept_away": 404,
    "program:end_session": 404,
    "program:end_sessions": 302,
    "program:own_language": 302,
    "program:password": 200,
    "program:two_step": 200,
    "program:two_step_codes": 302,
    "program:two_step_off": 302,
    "agenda:reminders": 422,
    "agenda:feed_address": 302,
    "agenda:send_again": 404,
    "exchange:prove": 404,
}
READING, WRITING = ("get", "head", "options"), ("post", "put", "delete", "patch")


@pytest.fixture(scope="module")
def people(kept_for_the_file):
    """An owner, a keeper, a viewer and a ray, written once: every test undoes what it writes."""
    cast.owner()
    cast.keeper()
    cast.viewer()
    cast.female("Mira")


@pytest.fixture
def owner(people):
    return Person.objects.get(username="jo")


@pytest.fixture
def keeper(people):
    return Person.objects.get(username="sam")


@pytest.fixture
def viewer(people):
    return Person.objects.get(username="kit")


@pytest.fixture
def one_of_each(people):
    """The first row of the animals, so that nothing is refused for not being there."""
    return Animal.objects.get(call_name="Mira")


@pytest.fixture(autouse=True)
def _no_copies_of_contexts(monkeypatch):
    """The test client copies the context of every template it draws; nobody looks at them here."""
    monkeypatch.setattr("django.test.client.store_rendered_templates", lambda *a, **k: None)


def test_every_route_is_written_down_once():
    listed = [*OPEN_TO_STRANGERS, *FOR_VIEWERS_TO_READ, *FOR_KEEPERS, *FOR_OWNERS]
    assert sorted(listed) == sorted(NAMES)
    assert set(FOR_VIEWERS_TO_POST) <= set(FOR_VIEWERS_TO_READ)


def disagreements(client, ways, wrong):
    """What `wrong(route, how, answer)` says of every answer of every route, one a line."""
    found = []
    for route, parts in ROUTES:
        for how in ways:
            with transaction.atomic():
                answer = getattr(client, how)(address(route, parts))
                answer.close()
                transaction.set_rollback(True)
            said = wrong(route, how, answer)
            if said:
                found.append(f"{how} {route}: {answer.status_code}, {said}")
    assert found == [], "\n".join(["", *found])


def is_sent_to_sign_in(answer):
    return answer.status_code == 302 and answer.url.startswith(reverse("program:sign_in"))


def test_a_stranger_is_sent_to_sign_in(one_of_each):
    def wrong(route, how, answer):
        if route not in OPEN_TO_STRANGERS:
            return "" if is_sent_to_sign_in(answer) else "a stranger signs in first"
        right = (OPEN_TO_STRANGERS[route], 405)
        return "" if answer.status_code in right else f"right is one of {right}"

    disagreements(Client(), READING + WRITING, wrong)


def test_a_viewer_reads_what_is_not_for_keepers_and_writes_nowhere(viewer, one_of_each):
    client = Client(raise_request_exception=False)

    def wrong(route, how, answer):
        if route == "program:sign_out":
            client.force_login(viewer)
        if how == "get":
            if (answer.status_code == 403) is (route in [*FOR_KEEPERS, *FOR_OWNERS]):
                return "the server breaks" if answer.status_code >= 500 else ""
            return "a viewer reads what is for viewers, and no more"
        if route in OPEN_TO_STRANGERS:
            return ""
        right = 403
        if route in FOR_VIEWERS_TO_POST:
            right = FOR_VIEWERS_TO_POST[route] if how == "post" else 405
        return "" if answer.status_code == right else f"right is {right}"

    client.force_login(viewer)
    disagreements(client, ("get", *WRITING), wrong)


@pytest.mark.parametrize("who", ["keeper", "owner"])
def test_keepers_open_and_write_all_that_is_not_for_owners(request, monkeypatch, one_of_each, who):
    monkeypatch.setattr("breeding.planning.ahead.runs.run_beside", lambda asked: None)
    person, client = request.getfixturevalue(who), Client(raise_request_exception=False)

    def wrong(route, how, answer):
        if route == "program:sign_out":
            client.force_login(person)
        refused = answer.status_code == 403
        if refused is not (who == "keeper" and route in FOR_OWNERS):
            return "owners open everything" if refused else "for owners alone"
        if is_sent_to_sign_in(answer) and not route.startswith("program:sign_"):
            return "somebody signed in is asked to sign in"
        return "the server breaks" if answer.status_code >= 500 else ""

    client.force_login(person)
    disagreements(client, ("get", "post"), wrong)


@pytest.mark.parametrize("route", FOR_OWNERS)
def test_a_keeper_is_told_that_only_an_owner_may(as_keeper, keeper, route):
    one = {"program:backup": ["x"]}
    parts = one.get(route, [keeper.pk] if dict(ROUTES)[route] else [])
    for how in ("get", "post"):
        answer = getattr(as_keeper, how)(reverse(route, args=parts))
        assert answer.status_code == 403
        assert "Only an owner of the program may do this." in answer.content.decode()


def test_a_viewer_is_told_why(as_viewer):
    page = as_viewer.get(reverse("animals:new")).content.decode()
    assert "You can read here; only keepers and owners may write." in page


def test_one_who_was_signed_in_is_out_when_the_account_is_closed(as_keeper, keeper):
    assert as_keeper.get(reverse("agenda:day")).status_code == 200
    keeper.is_active = False
    keeper.save()
    assert as_keeper.get(reverse("agenda:day")).status_code == 302


def test_a_keeper_who_becomes_a_viewer_writes_no_more(as_keeper, keeper):
    keeper.role = "viewer"
    keeper.save()
    assert as_keeper.get(reverse("animals:new")).status_code == 403


@pytest.mark.parametrize(("who", "status"), [("owner", 200), ("keeper", 302), ("viewer", 302)])
def test_every_row_can_be_read_by_owners_alone(request, one_of_each, who, status):
    client = request.getfixturevalue(f"as_{who}")
    assert client.get(reverse("admin:index")).status_code == status
    listed = client.get(reverse("admin:animals_animal_changelist"))
    assert listed.status_code == status


def test_rows_are_read_there_and_never_changed(as_owner, one_of_each):
    change = reverse("admin:animals_animal_change", args=[one_of_each.pk])
    assert as_owner.get(change).status_code == 200
    assert as_owner.post(change, {"call_name": "Vega"}).status_code == 403
    assert as_owner.get(reverse("admin:animals_animal_add")).status_code == 403
    assert (
        as_owner.post(
            reverse("admin:animals_animal_delete", args=[one_of_each.pk]), {"post": "yes"}
        ).status_code
        == 403
    )
    one_of_each.refresh_from_db()
    assert one_of_each.call_name == "Mira"


def test_no_password_stands_among_the_rows(as_owner, owner):
    page = as_owner.get(reverse("admin:program_person_change", args=[owner.pk])).content.decode()
    assert owner.password not in page
    assert cast.PASSWORD not in page


def test_a_form_without_its_token_is_refused_in_plain_words(keeper):
    client = Client(enforce_csrf_checks=True)
    client.force_login(keeper)
    answer = client.post(reverse("agenda:answer"), {"key": "overdue:1:x", "done": "1"})
    assert answer.status_code == 403
    assert "The form was too old to be accepted" in answer.content.decode()


def test_signing_in_goes_on_where_one_was_going_and_never_abroad(keeper):
    sign_in = reverse("program:sign_in")
    sent = {"username": "sam", "password": cast.PASSWORD}
    inside = Client().post(sign_in, sent | {"next": reverse("animals:index")})
    assert inside.url == reverse("animals:index")
    for abroad in ("https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)"):
        assert Client().post(sign_in, sent | {"next": abroad}).url == reverse("agenda:day")


def test_a_wrong_password_signs_nobody_in(keeper):
    client = Client()
    answer = client.post(reverse("program:sign_in"), {"username": "sam", "password": "guess"})
    assert answer.status_code == 200
    assert client.get(reverse("agenda:day")).status_code == 302


def test_pages_say_what_they_may_load(as_viewer, stranger):
    for client, page in ((as_viewer, "agenda:day"), (stranger, "program:sign_in")):
        policy = client.get(reverse(page)).headers["Content-Security-Policy"]
        assert "default-src 'self'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe-inline" not in policy.split("style-src")[0]
