"""Passwords: one's own, changed; forgotten, set anew by a link; and who is signed out by it."""

import datetime

import pytest
from django.test import Client
from django.urls import reverse

from breeding.program import clock
from breeding.program.access import hashing
from breeding.program.access.models import SignedIn
from breeding.program.models import Person, SignInLink
from breeding.program.services import change_person
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db

PASSWORD, DAY = reverse("program:password"), reverse("agenda:day")
NEW = "a-heron-at-dusk"
GOOD = {"present_password": cast.PASSWORD, "new_password": NEW}


def sign_in(username: str, password: str) -> Client:
    client = Client()
    client.post(reverse("program:sign_in"), {"username": username, "password": password})
    return client


def is_in(client: Client) -> bool:
    return client.get(DAY).status_code == 200


@pytest.mark.parametrize("who", ["owner", "keeper", "viewer"])
def test_everybody_changes_their_own_and_stays_in_here_alone(request, who):
    person = request.getfixturevalue(who)
    here, there = sign_in(person.username, cast.PASSWORD), sign_in(person.username, cast.PASSWORD)
    assert is_in(there)
    page = words(here.post(PASSWORD, GOOD, follow=True))
    assert "Your password is changed. You are signed out on 1 other device." in page
    assert (is_in(here), is_in(there)) == (True, False)
    assert is_in(sign_in(person.username, NEW))
    assert not is_in(sign_in(person.username, cast.PASSWORD))


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"present_password": "a-guess"}, "That is not your present password."),
        ({"present_password": ""}, "“Your present password” is empty"),
        ({"new_password": "short"}, "too short"),
        ({"new_password": "12345678"}, "too common"),
        ({"new_password": cast.PASSWORD}, "That is your present password already."),
        ({"new_password": "x" * 257}, "at most 256 characters"),
    ],
)
def test_a_password_that_cannot_be_is_refused_and_nothing_changes(viewer, as_viewer, wrong, said):
    page = words(as_viewer.post(PASSWORD, GOOD | wrong))
    assert said in page
    assert NEW not in page
    viewer.refresh_from_db()
    assert viewer.check_password(cast.PASSWORD)
    assert is_in(as_viewer)


def test_a_wrong_password_is_counted_there_too_also_when_it_is_only_looked_over(as_viewer):
    for _ in range(5):
        as_viewer.post(PASSWORD, GOOD | {"present_password": "a-guess", "look_over": "1"})
    answer = as_viewer.post(PASSWORD, GOOD)
    assert answer.status_code == 429
    assert "before the next try" in words(answer)


def test_a_sign_in_is_never_only_looked_over(keeper):
    client = Client()
    for _ in range(5):
        client.post(
            reverse("program:sign_in"),
            {"username": "sam", "password": "a-guess", "look_over": "1"},
        )
    right = {"username": "sam", "password": cast.PASSWORD, "look_over": "1"}
    assert client.post(reverse("program:sign_in"), right).status_code == 429


def test_no_password_is_kept_in_the_history(viewer, as_viewer):
    from auditlog.models import LogEntry

    as_viewer.post(PASSWORD, GOOD)
    viewer.refresh_from_db()
    kept = str(list(LogEntry.objects.values_list("changes", flat=True)))
    assert viewer.password not in kept
    assert "pbkdf2" not in kept
    assert NEW not in kept


def test_closing_an_account_ends_its_sessions(owner, keeper):
    client = sign_in("sam", cast.PASSWORD)
    assert is_in(client)
    change_person(keeper, called="Sam", role="keeper", is_active=False)
    assert not is_in(client)
    assert not SignedIn.objects.filter(person=keeper).exists()
    change_person(keeper, called="Sam", role="keeper", is_active=True)
    assert not is_in(client)


# ------------------------------------------------------------------------------- forgotten


def made_link(as_owner, person: Person) -> str:
    page = words(as_owner.post(reverse("program:person_link", args=[person.pk])))
    assert "It asks for a new password and works once, for 3 days." in page
    return page.partition('value="http://testserver')[2].partition('"')[0]


def test_an_owner_makes_a_link_that_asks_for_a_new_password(as_owner, keeper):
    before, address, visitor = sign_in("sam", cast.PASSWORD), made_link(as_owner, keeper), Client()
    assert "A new password" in words(visitor.get(address))
    assert visitor.post(address, {"new_password": NEW}).url == DAY
    assert (is_in(visitor), is_in(before)) == (True, False)
    assert is_in(sign_in("sam", NEW))
    assert Client().get(address).status_code == 410
    assert Client().post(address, {"new_password": "another-heron"}).status_code == 410


def test_a_bad_new_password_and_a_look_spend_no_link(as_owner, keeper):
    address, visitor = made_link(as_owner, keeper), Client()
    visitor.get(address)
    visitor.head(address)
    assert "too short" in words(visitor.post(address, {"new_password": "short"}))
    assert not is_in(visitor)
    assert is_in(sign_in("sam", cast.PASSWORD))  # until the new one is set
    assert visitor.post(address, {"new_password": NEW}).status_code == 302


def test_a_link_that_asks_is_too_old_after_three_days(as_owner, keeper):
    address = made_link(as_owner, keeper)
    SignInLink.objects.update(good_until=clock.now() - datetime.timedelta(seconds=1))
    assert Client().get(address).status_code == 410
    made = SignInLink.objects.get()
    assert made.made_at + datetime.timedelta(days=3) > made.good_until


def test_links_of_earlier_fall_with_a_new_password(as_owner, viewer, as_viewer):
    address = made_link(as_owner, viewer)
    as_viewer.post(PASSWORD, GOOD)
    assert Client().get(address).status_code == 410


def test_the_link_is_shown_once(as_owner, keeper):
    address = made_link(as_owner, keeper)
    token = address.rstrip("/").rpartition("/")[2]
    page = as_owner.get(reverse("program:person_link", args=[keeper.pk]), follow=True)
    assert token not in page.content.decode()
    assert "A link that asks Sam for a new password is made." in words(page)


# ----------------------------------------------------------------------- one at a time


def test_the_gate_lets_few_in_lets_few_wait_and_sends_the_rest_away():
    gate = hashing.Gate(at_once=1, waiting=1, seconds=0.01)
    with gate.passed(), pytest.raises(hashing.BusyError), gate.passed():
        pytest.fail("two at once")  # it waited, and its time was up
    with gate.passed():
        pass  # free again


def test_whoever_comes_too_many_is_told_to_try_again_and_is_not_counted(keeper, settings):
    settings.PASSWORD_HASHERS = ["breeding.program.access.hashing.GatedHasher"]
    signing_in = {"username": "sam", "password": "a-guess"}
    closed = hashing.Gate(at_once=1, waiting=0, seconds=0)
    with pytest.MonkeyPatch.context() as patch, closed.passed():
        patch.setattr(hashing, "GATE", closed)
        answers = [Client().post(reverse("program:sign_in"), signing_in) for _ in range(9)]
    assert {one.status_code for one in answers} == {503}
    assert answers[0].headers["Retry-After"] == "5"
    assert "try again in a few seconds" in words(answers[0])
    assert 'value="sam"' in words(answers[0])  # nothing typed is lost but the password
    assert "a-guess" not in words(answers[0])
    assert not SignedIn.objects.exists()


def test_passwords_are_reckoned_with_as_many_rounds_as_django_wants(settings):
    from django.contrib.auth.hashers import PBKDF2PasswordHasher, check_password, make_password

    settings.PASSWORD_HASHERS = ["breeding.program.access.hashing.GatedHasher"]
    made = make_password(NEW)
    assert made.startswith(f"pbkdf2_sha256${PBKDF2PasswordHasher.iterations}$")
    assert check_password(NEW, made)
    assert not check_password("a-guess", made)
