"""Whatever is written down of buyers can be put right, withdrawn and brought back."""

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.animals.services import change_state
from breeding.buyers import hand_overs, services, waiting
from breeding.buyers.mending import corrections
from breeding.buyers.models import Contact, HandOver
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.program import clock
from breeding.program.acts.changing import version_of
from breeding.program.acts.mending import change_address_of, kind_named
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
TODAY = cast.day("2026-11-25")


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def kim(owner):
    return services.add_contact(by=owner, name="Kim Lund", reach="kim@example.org")


@pytest.fixture
def vega(owner):
    vega = cast.female("Vega", state_on=cast.day("2026-01-05"))
    move_animal(vega, Tank.objects.create(name="Pool"), on=cast.day("2026-11-01"), by=owner)
    return vega


def go(animal, contact, on="2026-11-20", **facts):
    return hand_overs.hand_over(
        animal,
        contact,
        by=None,
        program=cast.the_program(),
        on=cast.day(on),
        today=TODAY,
        transport="own_car",
        has_read_cautions=True,
        **facts,
    )


def again(record):
    return type(record).objects.get(pk=record.pk)


def change(gone, **facts):
    told = {"contact": gone.contact, "on": gone.on, "transport": gone.transport}
    told |= {"came_back_on": gone.came_back_on, "came_back_because": gone.came_back_because}
    return corrections.change_hand_over(again(gone), today=TODAY, **{**told, **facts})


def take_back(gone, on="2026-11-22"):
    return hand_overs.take_back(
        gone, on=cast.day(on), today=TODAY, because="the tank was sold", by=None
    )


def withdraw(client, record, reason="a slip"):
    kind = next(one for one in ("contact", "wish", "reservation", "hand-over") if _is(record, one))
    address = reverse("program:withdraw", args=[kind, record.pk])
    return client.post(address, {"reason": reason}, follow=True)


def bring_back(client, record):
    kind = next(one for one in ("contact", "wish", "reservation", "hand-over") if _is(record, one))
    return client.post(reverse("program:bring_back", args=[kind, record.pk]), follow=True)


def _is(record, key):
    return type(record) is kind_named(key).model


# --------------------------------------------------------------------------------------- contacts


def test_a_contact_that_nothing_names_is_withdrawn_and_brought_back(as_keeper, kim):
    withdraw(as_keeper, kim, "written down twice")
    assert again(kim).withdrawn_reason == "written down twice"
    page = words(as_keeper.get(reverse("buyers:index")))
    assert ">Kim Lund</a>" not in page
    page = words(as_keeper.get(reverse("buyers:index") + "?state=withdrawn"))
    assert "withdrawn: written down twice" in page
    assert "written down twice" in words(as_keeper.get(kim.get_absolute_url()))
    bring_back(as_keeper, kim)
    assert again(kim).is_on_record


def test_a_contact_that_something_names_stays_and_its_page_leads_there(as_keeper, kim, vega):
    kept = services.reserve_animal(vega, kim, by=None, on=TODAY)
    page = words(as_keeper.get(reverse("program:withdraw", args=["contact", kim.pk])))
    where = reverse("buyers:reservation", args=[kept.pk])
    assert f'<a href="{where}">the reservation of Vega for Kim Lund</a>' in page
    page = words(withdraw(as_keeper, kim))
    assert "Kim Lund cannot be withdrawn: reservation “Vega for Kim Lund” counts." in page
    assert not again(kim).is_withdrawn


def test_nothing_new_is_written_of_a_contact_that_is_withdrawn(kim, vega, keeper):
    corrections.withdraw_contact(kim, by=keeper, now=clock.now(), reason="twice")
    for act in (
        lambda: services.reserve_animal(vega, kim, by=None, on=TODAY),
        lambda: waiting.add_wish(kim, by=None, wished_on=TODAY),
        lambda: go(vega, kim),
        lambda: services.change_contact(kim, name="Kim Berg"),
    ):
        with pytest.raises(ValidationError, match="Kim Lund is withdrawn; bring the contact back"):
            act()


def test_the_second_of_two_who_change_a_contact_sees_what_the_first_did(as_keeper, owner, kim):
    address = reverse("buyers:edit", args=[kim.pk])
    seen = version_of(kim)
    services.change_contact(kim, reach="lund@example.org")
    typed = {"name": "Kim Lund", "reach": "kim@example.net", "wish": "", "seen": seen}
    page = words(as_keeper.post(address, typed))
    assert "from kim@example.org to lund@example.org" in page
    assert again(kim).reach == "lund@example.org"
    as_keeper.post(address, {**typed, "seen": version_of(again(kim))})
    assert again(kim).reach == "kim@example.net"
    assert "from lund@example.org to kim@example.net" in words(as_keeper.get(address))


# ------------------------------------------------------------------------- wishes, reservations


def test_a_wish_comes_back_to_its_old_place(as_keeper, kim):
    wish = waiting.add_wish(kim, by=None, wished_on=cast.day("2026-10-01"))
    withdraw(as_keeper, wish)
    assert "Bring back" in words(as_keeper.get(kim.get_absolute_url()))
    with pytest.raises(ValidationError, match="off the list"):
        waiting.change_wish(wish, note="x")
    assert "on the waiting list again" in words(bring_back(as_keeper, wish))
    assert list(waiting.standing_wishes()) == [wish]


def test_a_reservation_comes_back_unless_somebody_else_has_it(as_keeper, kim, vega):
    kept = services.reserve_animal(vega, kim, by=None, on=TODAY)
    withdraw(as_keeper, kept)
    ada = services.add_contact(by=None, name="Ada Berg")
    other = services.reserve_animal(vega, ada, by=None, on=TODAY)
    assert "Vega is reserved for Ada Berg by now" in words(bring_back(as_keeper, kept))
    withdraw(as_keeper, other)
    assert "Vega is reserved for Kim Lund again" in words(bring_back(as_keeper, kept))
    assert services.reservation_of(vega) == kept


def test_a_fulfilled_reservation_leads_to_its_hand_over(as_keeper, kim, vega):
    kept = services.reserve_animal(vega, kim, by=None, on=cast.day("2026-11-10"))
    gone = go(vega, kim)
    page = words(withdraw(as_keeper, kept))
    assert "It was fulfilled: Vega went to Kim Lund on 20 November 2026." in page
    assert reverse("program:withdraw", args=["hand-over", gone.pk]) in page
    assert not again(kept).is_withdrawn
    withdraw(as_keeper, gone)
    assert again(kept).is_standing


def test_the_day_and_the_person_of_a_reservation_are_put_right(as_keeper, kim, vega):
    kept = services.reserve_animal(vega, kim, by=None, on=TODAY)
    ada = services.add_contact(by=None, name="Ada Berg")
    address = reverse("buyers:reservation", args=[kept.pk])
    as_keeper.post(address, {"contact": ada.pk, "reserved_on": "2026-11-03"})
    assert (again(kept).contact, again(kept).reserved_on) == (ada, cast.day("2026-11-03"))
    page = words(as_keeper.get(address))
    assert "contact: from Kim Lund to Ada Berg" in page
    page = words(as_keeper.post(address, {"contact": ada.pk, "reserved_on": "2026-11-26"}))
    assert "26 November 2026 is still to come" in page


# ------------------------------------------------------------------------------------- hand-overs


def test_a_hand_over_on_another_day_takes_stay_state_and_reservation_along(as_keeper, kim, vega):
    kept = services.reserve_animal(vega, kim, by=None, on=cast.day("2026-11-10"))
    gone = go(vega, kim)
    typed = {"contact": kim.pk, "on": "2026-11-18", "transport": "air", "note": "by train first"}
    answer = as_keeper.post(change_address_of(gone), typed, follow=True)
    assert "Vega left on 18 November 2026" in words(answer)
    day = cast.day("2026-11-18")
    assert (again(vega).state, again(vega).state_on) == ("left", day)
    assert Stay.objects.get(animal=vega).until == day
    assert again(kept).fulfilled_on == day
    assert (again(gone).on, again(gone).transport) == (day, "air")
    page = words(as_keeper.get(change_address_of(gone)))
    assert "transport: from own car to by air" in page


@pytest.mark.parametrize(
    ("on", "said"),
    [
        ("2026-11-26", "26 November 2026 is still to come"),
        ("2026-10-31", "on record in Pool from 1 November 2026"),
    ],
)
def test_a_day_it_cannot_have_left_is_refused_and_nothing_is_written(kim, vega, on, said):
    gone = go(vega, kim)
    with pytest.raises(ValidationError, match=said):
        change(gone, on=cast.day(on))
    assert again(vega).state_on == again(gone).on == cast.day("2026-11-20")


def test_a_day_on_which_it_was_together_with_a_mate_is_refused(kim, owner):
    vega = cast.female("Vega")
    cast.pair(vega, cast.male(), "2026-11-01", "2026-11-15")
    gone = go(vega, kim)
    with pytest.raises(ValidationError, match="together with Deneb until 15 November 2026"):
        change(gone, on=cast.day("2026-11-14"))
    assert change(gone, on=cast.day("2026-11-15")).on == cast.day("2026-11-15")


def test_the_buyer_of_a_hand_over_is_put_right_unless_it_was_reserved(kim, vega):
    ada = services.add_contact(by=None, name="Ada Berg")
    gone = go(vega, kim)
    assert again(change(gone, contact=ada)).contact == ada
    lyra = cast.female("Lyra")
    services.reserve_animal(lyra, kim, by=None, on=cast.day("2026-11-10"))
    with pytest.raises(ValidationError, match="It fulfilled the reservation for Kim Lund"):
        change(go(lyra, kim), contact=ada)


def test_a_price_is_put_right_with_its_currency(kim, vega):
    gone = go(vega, kim, price=450, currency="EUR")
    with pytest.raises(ValidationError, match="In which currency"):
        change(gone, price=405, currency="")
    assert again(change(gone, price=405, currency="GBP")).price == 405


def test_withdrawing_restores_what_it_was_to_the_day_and_bringing_back_repeats_it(
    as_keeper, kim, vega
):
    """On loan since 5 January: on loan since 5 January again."""
    type(vega).objects.filter(pk=vega.pk).update(state="on_loan")
    vega.refresh_from_db()
    kept = services.reserve_animal(vega, kim, by=None, on=cast.day("2026-11-10"))
    gone = go(vega, kim)
    withdraw(as_keeper, gone)
    assert (again(vega).state, again(vega).state_on) == ("on_loan", cast.day("2026-01-05"))
    assert Stay.objects.get(animal=vega).until is None
    assert again(kept).is_standing
    assert "Vega left on 20 November 2026" in words(bring_back(as_keeper, gone))
    assert (again(vega).state, again(vega).state_on) == ("left", cast.day("2026-11-20"))
    assert Stay.objects.get(animal=vega).until == cast.day("2026-11-20")
    assert again(kept).fulfilled_on == cast.day("2026-11-20")
    assert again(gone).reservation == kept


def test_a_hand_over_does_not_come_back_for_one_kept_for_another(as_keeper, kim, vega):
    gone = go(vega, kim)
    withdraw(as_keeper, gone)
    ada = services.add_contact(by=None, name="Ada Berg")
    services.reserve_animal(again(vega), ada, by=None, on=TODAY)
    assert "Vega is reserved for Ada Berg" in words(bring_back(as_keeper, gone))
    assert again(gone).is_withdrawn
    assert again(vega).is_here


# ----------------------------------------------------------------------------------- coming back


def test_a_coming_back_is_moved_to_another_day(kim, vega):
    gone = take_back(go(vega, kim))
    change(gone, came_back_on=cast.day("2026-11-24"), came_back_because="it was too large")
    assert (again(vega).state, again(vega).state_on) == ("here", cast.day("2026-11-24"))
    assert again(gone).came_back_because == "it was too large"
    for day in ("2026-11-19", "2026-11-26"):
        with pytest.raises(ValidationError, match="Vega left on 20 November 2026, and came back"):
            change(gone, came_back_on=cast.day(day), came_back_because="x")
    with pytest.raises(ValidationError, match="Write down why"):
        change(gone, came_back_on=cast.day("2026-11-24"), came_back_because=" ")


def test_a_coming_back_that_never_was_is_taken_out_and_stays_readable(as_keeper, kim, vega):
    gone = take_back(go(vega, kim))
    page = words(as_keeper.get(reverse("program:withdraw", args=["hand-over", gone.pk])))
    assert "take the coming back out</a> first" in page
    typed = {"contact": kim.pk, "on": "2026-11-20", "transport": "own_car", "came_back_on": ""}
    as_keeper.post(change_address_of(gone), typed)
    assert again(gone).is_away
    assert (again(vega).state, again(vega).state_on) == ("left", cast.day("2026-11-20"))
    page = words(as_keeper.get(change_address_of(gone)))
    assert "came back because: from the tank was sold to nothing" in page


def test_what_was_written_of_it_since_it_came_back_goes_first(kim, vega):
    gone = take_back(go(vega, kim))
    cove = Tank.objects.create(name="Cove")
    stay = move_animal(again(vega), cove, on=cast.day("2026-11-23"), by=None)
    for back_on in (None, cast.day("2026-11-24")):
        with pytest.raises(ValidationError, match="on record in Cove from 23 November 2026"):
            change(gone, came_back_on=back_on, came_back_because="x")
    day = cast.day("2026-11-23")
    assert change(gone, came_back_on=day, came_back_because="x").came_back_on == stay.since


def test_every_record_of_a_buyer_says_where_it_is_changed(as_keeper, kim, vega):
    services.reserve_animal(vega, kim, by=None, on=TODAY)
    waiting.add_wish(kim, by=None, wished_on=TODAY)
    gone = go(cast.female("Lyra"), kim)
    page = words(as_keeper.get(kim.get_absolute_url()))
    for one in (Contact.objects.get(), kim.reservations.get(), kim.wishes.get(), gone):
        assert f'href="{change_address_of(one)}"' in page
    assert HandOver.objects.count() == 1


def test_how_a_hand_over_stood_is_said_in_the_words_of_its_form(as_keeper, kim, vega):
    gone = go(vega, kim, on="2026-11-20", hours_expected=3)
    address = change_address_of(gone)
    typed = {"contact": kim.pk, "on": "2026-11-22", "transport": "own_car", "hours_expected": "5"}
    as_keeper.post(address, typed | {"source_code": "C", "permit_number": "BH-1"})
    page = words(as_keeper.get(address))
    assert "left on: from 20 November 2026 to 22 November 2026" in page
    assert "hours expected on the way: from 3 to 5" in page
    assert "permit numbers: from nothing to BH-1" in page
    assert "source code on the papers: from nothing to C: bred in captivity" in page


def test_what_an_animal_was_before_it_was_handed_over_is_said_in_words(as_keeper, kim, vega):
    gone = go(change_state(vega, state="on_loan", on=cast.day("2026-11-10")), kim)
    page = words(as_keeper.get(change_address_of(gone)))
    assert "what it was before: on loan" in page
    assert "and since when: 10 November 2026" in page
