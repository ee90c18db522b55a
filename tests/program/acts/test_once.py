"""Twice is once: a form that is sent again, however it comes, is written the first time only."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.pairings.models import Sighting, SignKind
from breeding.program.acts.once import _whole_sentences, key_in, new_token, person_in
from breeding.program.frame import middleware
from breeding.program.models import Act
from tests import cast
from tests.cast import words

LOG = "/pairings/log/"


def sent(female: Animal, token: str, **more: object) -> dict[str, object]:
    mating = SignKind.objects.get(key="copulation")
    return {"female": female.pk, "kind": mating.pk, "once": token, **more}


@pytest.mark.django_db
class TestOneAfterTheOther:
    def test_three_taps_on_save_write_one_sighting(self, as_keeper, keeper):
        form = sent(cast.female(), new_token(keeper))
        for _ in range(3):
            assert as_keeper.post(LOG, form).status_code == 302
        assert Sighting.objects.count() == 1

    def test_what_is_written_is_answered_although_its_receipt_finds_no_room(
        self, as_keeper, keeper, monkeypatch, caplog
    ):
        def no_room(act, leads_to):
            raise OperationalError("database or disk is full")

        form = sent(cast.female(), new_token(keeper))
        with monkeypatch.context() as full:
            full.setattr(middleware, "keep_receipt", no_room)
            assert as_keeper.post(LOG, form).status_code == 302
        assert "could not be kept" in caplog.text
        assert as_keeper.post(LOG, form).status_code in (200, 302)
        assert Sighting.objects.count() == 1

    def test_the_second_is_answered_with_the_receipt_of_the_first(self, as_keeper, keeper):
        form = sent(cast.female(), new_token(keeper))
        first = as_keeper.post(LOG, form)
        again = as_keeper.post(LOG, form)
        assert again["Location"] == first["Location"]
        page = words(as_keeper.get(again["Location"]))
        assert "It was sent before, and is written only once: Written: Mira, mating" in page

    def test_two_forms_are_two_sightings(self, as_keeper, keeper):
        mira = cast.female()
        for _ in range(2):
            as_keeper.post(LOG, sent(mira, new_token(keeper)))
        assert Sighting.objects.count() == 2

    def test_a_spent_form_sent_with_other_values_writes_nothing(self, as_keeper, keeper):
        token = new_token(keeper)
        as_keeper.post(LOG, sent(cast.female("Mira"), token))
        as_keeper.post(LOG, sent(cast.female("Vega"), token))
        assert [one.female.name for one in Sighting.objects.all()] == ["Mira"]

    def test_a_refused_form_is_not_spent(self, as_keeper, keeper):
        mira, token = cast.female(), new_token(keeper)
        refused = as_keeper.post(LOG, sent(mira, token, seen_at="2999-01-01T10:00"))
        assert refused.status_code == 200
        assert not Act.objects.exists()
        as_keeper.post(LOG, sent(mira, token))
        assert Sighting.objects.count() == 1

    def test_a_button_without_a_form_is_pressed_once_too(self, as_keeper, keeper):
        token = new_token(keeper)
        for name in ("Pond 1", "Pond 2"):
            answer = as_keeper.post(
                reverse("housing:new"), {"name": name, "kind": "breeding", "once": token}
            )
        assert "is saved" in words(as_keeper.get(answer["Location"]))

    def test_every_page_with_a_form_that_writes_gives_a_new_token(self, as_keeper):
        cast.female()
        pages = [as_keeper.get(LOG).content.decode() for _ in range(2)]
        tokens = [page.split('name="once" value="')[1].split('"')[0] for page in pages]
        assert tokens[0] != tokens[1]
        assert all(person_in(one) for one in tokens)


@pytest.mark.django_db
class TestTheToken:
    def test_one_that_this_server_never_gave_stands_for_nothing(self, keeper):
        assert key_in(new_token(keeper) + "x") == ""
        assert person_in("7.abc:forged") is None

    def test_it_says_to_whom_it_was_given(self, keeper):
        assert person_in(new_token(keeper)) == keeper.pk

    def test_whether_it_is_spent_is_answered_to_its_person_only(self, as_keeper, as_owner, keeper):
        token = new_token(keeper)
        address = reverse("program:once", args=[token])
        assert as_keeper.get(address).json() == {"spent": False}
        as_keeper.post(LOG, sent(cast.female(), token))
        answer = as_keeper.get(address).json()
        assert answer["spent"] is True
        assert answer["said"].startswith("Written: Mira, mating")
        assert as_owner.get(address).json() == {"spent": False}


@pytest.mark.skipif(
    connection.vendor == "sqlite",
    reason="SQLite's tests share one database in memory; the browser walks ask a real file",
)
@pytest.mark.django_db(transaction=True)
def test_two_requests_at_once_write_one_sighting(owner, keeper):
    form = sent(cast.female(), new_token(keeper))

    def post(_: int) -> int:
        client = Client()
        client.force_login(keeper)
        try:
            return client.post(LOG, form).status_code
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as threads:
        answers = list(threads.map(post, range(4)))
    assert answers == [302] * 4
    assert Sighting.objects.count() == 1
    assert Act.objects.count() == 1


def test_a_long_receipt_ends_with_a_whole_sentence():
    long = " ".join(f"Castor and his sister {n:03} could breed." for n in range(30))
    kept = _whole_sentences(long)
    assert len(kept) <= 600
    assert kept.endswith("Castor and his sister 014 could breed. And more.")
    assert _whole_sentences("Castor is in Bay now.") == "Castor is in Bay now."
    assert len(_whole_sentences("x" * 700)) == 600


@pytest.mark.django_db
class TestOfAPageThatLiesOnADevice:
    """It is opened more than once without a network, each time with sixteen digits of its own."""

    def test_each_opening_is_an_act_of_its_own_and_is_written_once(self, as_keeper, keeper):
        given, female = new_token(keeper), cast.female()
        for own in ("0" * 16, "a" * 16, "a" * 16):
            assert as_keeper.post(LOG, sent(female, f"{given}~{own}")).status_code == 302
        assert Sighting.objects.count() == 2

    def test_it_stands_for_the_same_person(self, keeper):
        assert person_in(f"{new_token(keeper)}~{'1f' * 8}") == keeper.pk

    @pytest.mark.parametrize("own", ["", "0" * 15, "0" * 17, "A" * 16, "0" * 15 + "\n", "~" * 16])
    def test_digits_of_another_shape_stand_for_nothing(self, keeper, own):
        assert key_in(f"{new_token(keeper)}~{own}") == ""

    def test_a_token_that_was_never_given_gains_nothing_by_them(self):
        assert key_in(f"1.0000:forged~{'0' * 16}") == ""
