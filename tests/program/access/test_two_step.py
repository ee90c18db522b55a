"""The second step: an app's codes, recovery codes, and no way around them."""

import datetime
import re

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django_otp.oath import totp
from django_otp.plugins.otp_static.models import StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from breeding.program import clock
from breeding.program.access import two_step
from breeding.program.models import Act, Person
from breeding.program.services import make_sign_in_link
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db

SIGN_IN, CODE, DAY = (
    reverse(name) for name in ("program:sign_in", "program:sign_in_code", "agenda:day")
)
ACCOUNT, ON, CODES, OFF = (
    reverse(f"program:{name}") for name in ("account", "two_step", "two_step_codes", "two_step_off")
)
OWN = {"present_password": cast.PASSWORD}
NOON = datetime.datetime(2026, 3, 3, 12, tzinfo=datetime.UTC)
SHOWN = re.compile(r"<code>([a-z2-9]{5}-[a-z2-9]{5})</code>")


@pytest.fixture
def at_noon():
    with time_machine.travel(NOON, tick=False) as travelled:
        yield travelled


def code_of(person: Person) -> str:
    """What the app shows now."""
    return f"{totp(TOTPDevice.objects.get(user=person).bin_key):06}"


def is_in(client: Client) -> bool:
    return client.get(DAY).status_code == 200


@pytest.fixture
def codes(keeper, as_keeper, at_noon) -> list[str]:
    """Sam's recovery codes: the second step is on, and a minute has passed since."""
    page = words(as_keeper.get(ON))
    key = bytes.fromhex(as_keeper.session["two_step_key"])
    assert two_step.key_in_text(key.hex()) in page
    assert "<svg" in page
    page = as_keeper.post(ON, {"code": f"{totp(key):06}"})
    at_noon.shift(60)
    return SHOWN.findall(page.content.decode())


def first_step(**more) -> Client:
    client = Client()
    sent = {"username": "sam", "password": cast.PASSWORD} | more
    assert client.post(SIGN_IN, sent).url == CODE
    return client


def test_it_is_switched_on_with_a_code_and_ten_recovery_codes_are_shown_once(codes, as_keeper):
    assert len(set(codes)) == 10
    page = words(as_keeper.get(ACCOUNT))
    assert "On since" in page
    assert "10 recovery codes left." in page
    for code in codes:
        assert code not in page
        assert code not in words(as_keeper.get(CODES))
        assert not StaticToken.objects.filter(token__contains=code.replace("-", "")).exists()


def test_a_wrong_code_switches_nothing_on(keeper, as_keeper, at_noon):
    as_keeper.get(ON)
    page = words(as_keeper.post(ON, {"code": "000000"}))
    assert "That is not the code your app shows now." in page
    keeper.refresh_from_db()
    assert not two_step.is_on(keeper)
    assert not TOTPDevice.objects.exists()


def test_after_the_password_nobody_is_in_before_the_code(codes, keeper):
    client = first_step()
    assert not is_in(client)
    assert "The second step" in words(client.get(CODE))
    assert "That code is not right" in words(client.post(CODE, {"code": "000000"}))
    assert not is_in(client)


def test_the_code_of_the_app_signs_in_to_where_one_was(codes, keeper):
    client = first_step(next="/animals/")
    assert client.post(CODE, {"code": code_of(keeper)}).url == "/animals/"
    assert is_in(client)


def test_a_code_cannot_be_used_again(codes, keeper):
    code = code_of(keeper)
    first_step().post(CODE, {"code": code})
    again = first_step()
    assert "or was used before" in words(again.post(CODE, {"code": code}))
    assert not is_in(again)


def test_the_code_that_switched_it_on_signs_nobody_in(keeper, as_keeper, at_noon):
    as_keeper.get(ON)
    code = f"{totp(bytes.fromhex(as_keeper.session['two_step_key'])):06}"
    as_keeper.post(ON, {"code": code})
    client = first_step()
    client.post(CODE, {"code": code})
    assert not is_in(client)


def test_a_recovery_code_signs_in_once(codes):
    client, again = first_step(), first_step()
    assert client.post(CODE, {"code": codes[0].upper()}).status_code == 302
    assert is_in(client)
    again.post(CODE, {"code": codes[0]})
    assert not is_in(again)
    assert "9 recovery codes left." in words(client.get(ACCOUNT))


def test_wrong_codes_are_slowed_and_never_shut_out_for_long(codes, keeper, at_noon):
    client = first_step()
    client.post(CODE, {"code": "000000"})
    answer = client.post(CODE, {"code": code_of(keeper)})
    assert answer.status_code == 429
    assert "before the next try" in words(answer)
    at_noon.shift(2)
    assert client.post(CODE, {"code": code_of(keeper)}).status_code == 302
    TOTPDevice.objects.update(throttling_failure_count=40, throttling_failure_timestamp=clock.now())
    at_noon.shift(18 * 60)
    assert first_step().post(CODE, {"code": code_of(keeper)}).status_code == 302


def test_a_stranger_without_the_password_is_sent_back(codes, keeper):
    client = Client()
    assert client.post(CODE, {"code": code_of(keeper)}).url == SIGN_IN
    assert not is_in(client)


def test_the_first_step_holds_ten_minutes_and_no_new_password(codes, keeper, at_noon):
    late, changed = first_step(), first_step()
    keeper.refresh_from_db()
    keeper.set_password("a-heron-at-dusk")
    keeper.save()
    assert changed.post(CODE, {"code": code_of(keeper)}).url == SIGN_IN
    keeper.set_password(cast.PASSWORD)
    keeper.save()
    late = first_step()
    at_noon.shift(601)
    assert late.post(CODE, {"code": code_of(keeper)}).url == SIGN_IN


@pytest.mark.parametrize("sent", [{}, {"new_password": "a-heron-at-dusk"}])
def test_a_link_is_the_first_step_only(codes, keeper, sent):
    token = make_sign_in_link(
        keeper,
        now=clock.now(),
        good_for=datetime.timedelta(days=1),
        asks_password=bool(sent),
    )
    client = Client()
    assert client.post(reverse("program:link", args=[token]), sent).url == CODE
    assert not is_in(client)
    client.post(CODE, {"code": code_of(keeper)})
    assert is_in(client)


def test_the_look_at_every_row_has_no_other_door(codes, keeper):
    first_step().post("/inspect/login/", {"username": "sam", "password": cast.PASSWORD})
    client = first_step()
    client.post("/inspect/login/", {"username": "sam", "password": cast.PASSWORD})
    assert not is_in(client)


def test_new_recovery_codes_take_the_place_of_the_earlier_ones(codes, as_keeper):
    assert "That is not your present password." in words(
        as_keeper.post(CODES, {"present_password": "x"})
    )
    made = SHOWN.findall(as_keeper.post(CODES, OWN).content.decode())
    assert len(made) == 10
    assert not set(made) & set(codes)
    client = first_step()
    client.post(CODE, {"code": codes[0]})
    assert not is_in(client)


def test_it_is_switched_off_with_the_password(codes, keeper, as_keeper):
    assert "That is not your present password." in words(
        as_keeper.post(OFF, {"present_password": "x"})
    )
    as_keeper.post(OFF, OWN)
    keeper.refresh_from_db()
    assert not two_step.is_on(keeper)
    assert not TOTPDevice.objects.exists()
    client = Client()
    assert client.post(SIGN_IN, {"username": "sam", "password": cast.PASSWORD}).url == DAY


def test_an_owner_switches_it_off_for_who_lost_the_phone_and_it_is_kept_who_did(
    codes, keeper, owner
):
    client = Client()
    client.force_login(owner)
    page = words(client.post(reverse("program:person_two_step_off", args=[keeper.pk]), follow=True))
    assert "Two-step sign-in is off for Sam." in page
    assert (
        "Jo: changed</span> <br>two-step sign-in since: from Tue 3 Mar 2026, 12:00 to nothing"
        in page
    )
    keeper.refresh_from_db()
    assert not two_step.is_on(keeper)


def test_an_owner_needs_the_own_password_for_the_own_second_step(as_owner, owner):
    address = reverse("program:person_two_step_off", args=[owner.pk])
    assert as_owner.post(address).url == OFF


def test_no_page_offers_to_undo_the_switch(codes, as_keeper):
    page = words(as_keeper.get(ACCOUNT))
    assert "Two-step sign-in is on." in page
    assert "Undo" not in page


def test_switching_is_not_undone(codes, keeper, as_keeper):
    as_keeper.post(OFF, OWN)
    act = Act.objects.filter(person=keeper).first()
    answer = as_keeper.post(reverse("program:undo", args=[act.pk]))
    assert answer.status_code == 409
    assert "Two-step sign-in is not undone" in words(answer)
    keeper.refresh_from_db()
    assert not two_step.is_on(keeper)


def test_whoever_runs_the_server_switches_it_off_for_an_only_owner(codes, keeper, capsys):
    call_command("switch_off_two_step", "sam")
    assert capsys.readouterr().out == "Two-step sign-in is off for Sam.\n"
    keeper.refresh_from_db()
    assert not two_step.is_on(keeper)
    for name, said in (("sam", "off already for Sam"), ("nobody", "Nobody signs in as nobody")):
        with pytest.raises(CommandError, match=said):
            call_command("switch_off_two_step", name)
