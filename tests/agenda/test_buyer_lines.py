"""What the day says of buyers: a pup that fits a wish, and a reservation that runs out."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.agenda.forms import AnswerForm
from breeding.agenda.models import FeedEvent
from breeding.agenda.queries import all_ahead, the_day
from breeding.agenda.sent.digest import digest_of
from breeding.agenda.sent.feed_events import summary_of
from breeding.agenda.services import answer_line, open_feed
from breeding.animals import services as animals
from breeding.buyers import hand_overs, services, waiting
from breeding.program import clock
from breeding.program.services import withdraw
from tests import cast
from tests.agenda.season import ahead
from tests.buyers.litters import litter_of, pup
from tests.cast import ago

pytestmark = pytest.mark.django_db

DAY = reverse("agenda:day")


@pytest.fixture
def litter(owner):
    """Alya, female, 16 cm; Botein, male, 15 cm; Chara, female, 12 cm and too small to leave."""
    return litter_of(
        cast.female("Vega", pure="leopoldi"),
        cast.male("Deneb", pure="leopoldi"),
        today=clock.today(),
    )


@pytest.fixture
def kim(owner):
    return services.add_contact(by=owner, name="Kim Lund")


def wish(contact, days=30, **parts):
    return waiting.add_wish(contact, by=None, wished_on=ago(days), **parts)


def lines(today=None):
    found = the_day(the_program(), today=today or clock.today()).lines
    return [one for one in found if one.kind.key == "wish"]


def line(today=None):
    (found,) = lines(today)
    return found


def the_program():
    return cast.the_program()


# --------------------------------------------------------------------------- a pup that fits a wish


def test_a_pup_that_fits_a_wish_stands_on_the_day_with_reason_and_one_tap(litter, kim):
    wish(kim, sex="F", species=cast.species("leopoldi"), kind="pure")
    found = line()
    assert (found.who, found.what) == ("Alya", "fits what Kim Lund waits for")
    assert found.urgency == "later"
    assert found.why.startswith("Pure P. leopoldi, female: wished since ")
    assert found.why.endswith("Old and large enough, and not reserved: Alya.")
    alya = pup(litter, "Alya")
    first = found.acts[0]
    assert (first.words, first.route, first.argument) == ("Reserve Alya", "buyers:reserve", alya.pk)
    assert first.query == f"?contact={kim.pk}"


def test_one_line_for_a_wish_however_many_pups_fit(litter, kim):
    wish(kim)
    found = line()
    assert (found.who, found.what) == ("Alya and 1 more", "fit what Kim Lund waits for")
    assert "Alya and Botein" in found.why
    assert "Chara" not in found.why


def test_a_wish_that_no_pup_fits_yet_is_silent(litter, kim):
    wish(kim, kind="hybrid")
    wish(kim, least_disc_width_mm=200)
    assert lines() == []


def test_no_line_before_the_least_age(owner, kim):
    """42 days and 13 cm at least: the species' figures."""
    litter_of(cast.female("Mira"), days_old=41, widths=(160,), sexes="F", today=clock.today())
    wish(kim)
    assert lines() == []
    assert len(lines(ahead(1))) == 1


def test_two_wishes_are_offered_different_pups_the_oldest_wish_first(litter, kim, owner):
    ada = services.add_contact(by=owner, name="Ada Berg")
    wish(kim, 20)
    wish(ada, 40)
    found = {one.what: one for one in lines()}
    assert found["fit what Ada Berg waits for"].who == "Alya and 1 more"
    assert found["fit what Kim Lund waits for"].who == "Botein and 1 more"
    assert "older wish" not in found["fit what Kim Lund waits for"].why


def test_the_only_pup_for_two_wishes_is_said_to_be_asked_for_twice(litter, kim, owner):
    ada = services.add_contact(by=owner, name="Ada Berg")
    wish(kim, 20, sex="F")
    wish(ada, 40, sex="F")
    found = {one.what: one.why for one in lines()}
    assert "An older wish asks for it too." in found["fits what Kim Lund waits for"]
    assert "An older wish" not in found["fits what Ada Berg waits for"]


# ----------------------------------------------------------------------------- when it falls silent


def test_a_pup_that_somebody_has_reserved_is_offered_to_nobody(litter, kim, owner):
    ada = services.add_contact(by=owner, name="Ada Berg")
    wish(kim, sex="F")
    kept = services.reserve_animal(pup(litter, "Alya"), ada, by=owner, on=clock.today())
    assert lines() == []
    withdraw(kept, by=owner, now=clock.now(), reason="changed her mind")
    assert line().who == "Alya"


def test_keeping_one_for_them_meets_the_wish_though_a_littermate_fits_too(litter, kim, owner):
    wish(kim)
    services.reserve_animal(pup(litter, "Alya"), kim, by=owner, on=clock.today())
    assert lines() == []


def test_two_wishes_alike_need_two_animals(litter, kim, owner):
    wish(kim)
    wish(kim)
    services.reserve_animal(pup(litter, "Alya"), kim, by=owner, on=clock.today())
    assert line().who == "Botein"


def test_an_animal_kept_before_the_wish_does_not_meet_it(litter, kim, owner):
    services.reserve_animal(pup(litter, "Alya"), kim, by=owner, on=ago(5))
    wish(kim, 4)
    assert line().who == "Botein"


def test_one_that_went_to_them_meets_the_wish_until_it_comes_back(litter, kim, owner):
    wish(kim)
    gone = hand_overs.hand_over(
        pup(litter, "Alya"),
        kim,
        by=owner,
        program=the_program(),
        on=clock.today(),
        today=clock.today(),
        transport="own_car",
    )
    assert lines() == []
    hand_overs.take_back(gone, on=clock.today(), today=clock.today(), because="ill", by=owner)
    assert line().who == "Alya and 1 more"


def test_one_that_is_not_what_they_wish_for_does_not_meet_the_wish(litter, kim, owner):
    wish(kim, sex="F")
    services.reserve_animal(pup(litter, "Botein"), kim, by=owner, on=clock.today())
    assert line().who == "Alya"


def test_an_answered_wish_stays_quiet_when_a_littermate_grows_into_it(litter, kim):
    wish(kim, sex="F")
    answer_line(line().key, by=None, today=clock.today(), note="She waits for spring.")
    chara, today = pup(litter, "Chara"), clock.today()
    animals.add_measurement(chara, by=None, on=today, disc_width_mm=140, sure=cast.SURE)
    assert lines() == []


def test_an_answered_wish_is_asked_about_again_with_another_litter_or_another_wish(litter, kim):
    one = wish(kim, sex="F")
    answer_line(line().key, by=None, today=clock.today())
    waiting.change_wish(one, sex="M")
    assert line().who == "Botein"
    answer_line(line().key, by=None, today=clock.today())
    assert lines() == []
    litter_of(cast.female("Mira"), widths=(170,), sexes="M", today=clock.today())
    assert "and 1 more" in line().who


def test_a_wish_put_off_comes_back_on_its_day(litter, kim):
    wish(kim)
    answer_line(line().key, by=None, today=clock.today(), put_off_until=ahead(3))
    assert lines(ahead(2)) == []
    assert line(ahead(3)).asked_again_on == ahead(3)


def test_a_withdrawn_wish_asks_for_nothing(litter, kim, owner):
    one = wish(kim)
    withdraw(one, by=owner, now=clock.now(), reason="has one")
    assert lines() == []


def test_the_key_of_every_kind_of_wish_is_one_the_form_takes(litter, kim):
    wish(kim)
    wish(kim, sex="M", kind="pure", species=cast.species("leopoldi"), least_disc_width_mm=140)
    keys = [one.key for one in lines()]
    assert len(set(keys)) == 2
    assert all(AnswerForm({"key": key}).is_valid() for key in keys)


# ---------------------------------------------------------------------- page, digest and calendar


def test_the_page_leads_to_the_reservation_with_the_contact_chosen(litter, kim, as_keeper):
    wish(kim, sex="F")
    place = f"{reverse('buyers:reserve', args=[pup(litter, 'Alya').pk])}?contact={kim.pk}"
    assert f'href="{place}"' in as_keeper.get(DAY).content.decode()
    assert f'<option value="{kim.pk}" selected>' in as_keeper.get(place).content.decode()


def told(today, before, last):
    return digest_of(lines(today), left_out=(), told_before=before, last_sent_on=last, today=today)


def test_the_digest_tells_it_once(litter, kim):
    wish(kim, sex="F")
    today = clock.today()
    first = told(today, {}, None)
    assert first.is_worth_sending
    assert first.subject == "Alya: fits what Kim Lund waits for"
    assert not told(ahead(1), first.told, today).is_worth_sending
    left_out = digest_of(
        lines(), left_out=("buyers",), told_before={}, last_sent_on=None, today=today
    )
    assert left_out.lines == ()


def test_the_calendar_tells_it_on_the_day_it_came_up_and_names_no_buyer(
    litter, kim, keeper, client
):
    wish(kim, sex="F", note="For Kim's long tank")
    place = reverse("agenda:feed", args=[open_feed(keeper, now=clock.now())])
    body = client.get(place).content.decode()
    assert "Alya: somebody waits for one like this" in body
    assert "Kim" not in body
    event = FeedEvent.objects.get(series__startswith="wish:")
    assert (event.starts_on, event.ends_on) == (clock.today(), clock.today())


def test_ten_more_wishes_and_pups_ask_no_more_questions(litter, kim, owner):
    def questions():
        with CaptureQueriesContext(connection) as asked:
            lines()
        return len(asked)

    wish(kim)
    questions()
    before = questions()
    for number in range(10):
        ada = services.add_contact(by=owner, name=f"Buyer {number}")
        wish(ada, number)
        services.reserve_animal(cast.female(f"Star {number}"), ada, by=owner, on=clock.today())
    litter_of(cast.female("Mira"), widths=(150,) * 5, sexes="FFFFF", today=clock.today())
    questions()
    assert questions() <= before


# ------------------------------------------------------------------------ reservations that run out


def reservation_line(today):
    found = [
        one for one in the_day(the_program(), today=today).lines if one.kind.key == "reservation"
    ]
    return found[0] if found else None


def test_a_reservation_reaches_the_day_a_week_before_it_runs_out_and_stays_after(
    litter, kim, owner
):
    services.reserve_animal(pup(litter, "Alya"), kim, by=owner, on=clock.today(), until=ahead(20))
    assert reservation_line(ahead(12)) is None
    soon = reservation_line(ahead(13))
    assert (soon.urgency, soon.on) == ("soon", ahead(20))
    assert reservation_line(ahead(20)).urgency == "soon"
    late = reservation_line(ahead(21))
    assert (late.urgency, late.what) == ("now", "reserved for Kim Lund")
    assert late.why.startswith("Reserved until ")


def test_a_reservation_without_a_last_day_never_runs_out(litter, kim, owner):
    services.reserve_animal(pup(litter, "Alya"), kim, by=owner, on=clock.today())
    assert reservation_line(clock.today() + datetime.timedelta(days=300)) is None


def test_a_longer_reservation_is_asked_about_again_on_its_new_day(litter, kim, owner):
    kept = services.reserve_animal(
        pup(litter, "Alya"), kim, by=owner, on=clock.today(), until=ahead(2)
    )
    answer_line(reservation_line(clock.today()).key, by=None, today=clock.today())
    assert reservation_line(clock.today()) is None
    services.change_reservation(kept, today=clock.today(), until=ahead(5))
    assert reservation_line(clock.today()).on == ahead(5)


def test_a_reservation_that_ran_out_still_holds_until_somebody_lets_it_go(litter, kim, owner):
    ada = services.add_contact(by=owner, name="Ada Berg")
    services.reserve_animal(pup(litter, "Alya"), ada, by=owner, on=clock.today(), until=ahead(1))
    wish(kim, sex="F")
    assert lines(ahead(30)) == []
    assert reservation_line(ahead(30)).urgency == "now"


def test_what_the_calendar_says_of_a_reservation_names_no_buyer(litter, kim, owner):
    services.reserve_animal(pup(litter, "Alya"), kim, by=owner, on=clock.today(), until=ahead(90))
    (found,) = [
        one
        for one in all_ahead(the_program(), today=clock.today())
        if one.kind.key == "reservation"
    ]
    assert summary_of(found) == "Alya: reservation ends"
    assert "Kim" not in found.why
