"""A birth at the tank: pup by pup, stopped and gone on with, ended, put right, and first food."""

import datetime
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from breeding.agenda.queries import the_day
from breeding.animals.models import Measurement
from breeding.feeding.models import Feeding, Meal
from breeding.litters.births.facts import PupFacts
from breeding.litters.births.pups import bring_pup_back, correct_pup, withdraw_pup
from breeding.litters.births.under_way import birth_under_way, end_birth, next_pup
from breeding.litters.models import Litter, Pup
from breeding.pairings.models import Outcome
from breeding.program import clock
from breeding.program.queries import the_program
from tests import cast
from tests.cast import ago, words
from tests.everything import picture

pytestmark = pytest.mark.django_db


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


def page_of(dam):
    return reverse("litters:birth", args=[dam.pk])


def tap(dam, days=0, **facts):
    return next_pup(
        dam, PupFacts(**facts), born_on=ago(days), today=clock.today(), by=None, sure=cast.SURE
    )


def tapped(client, dam, **typed):
    return client.post(page_of(dam), {"fate": "alive", "sex": "U"} | typed, follow=True)


def lines(kind):
    day = the_day(the_program(), today=clock.today())
    return [one for one in day.lines if one.kind.key == kind]


def test_the_first_pup_begins_the_litter_and_the_next_page_is_ready(as_keeper, mira):
    cast.pair(mira, cast.male("Deneb", pure="motoro"), 130, 100)
    page = tapped(
        as_keeper, mira, sex="M", disc_width_mm="10.2", weight_g="52", yolk="large", markings="ring"
    )
    litter = Litter.objects.get()
    assert litter.is_under_way
    assert page.redirect_chain[-1][0] == page_of(mira)
    assert f"Pup 1 of litter {litter.code}: alive, male. 1 pup so far." in words(page)
    pup = litter.pups.get()
    assert (pup.disc_width_mm, pup.weight_g, pup.yolk, pup.markings) == (102, 52, "large", "ring")
    assert pup.animal.sire.call_name == "Deneb"
    measured = pup.animal.measurements.get()
    assert (measured.on, measured.disc_width_mm, measured.weight_g) == (ago(0), 102, 52)


def test_it_is_stopped_gone_on_with_and_ended(as_keeper, mira):
    tapped(as_keeper, mira)
    assert "The birth of" in words(as_keeper.get(mira.get_absolute_url()))
    assert [one.who for one in lines("birth_under_way")] == ["Mira"]
    tapped(as_keeper, mira, fate="dead", sex="F")
    litter = Litter.objects.get()
    assert litter.outcome.kind == Outcome.Kind.SOME_DEAD
    page = as_keeper.post(page_of(mira), {"over": "1"}, follow=True)
    assert page.redirect_chain[-1][0] == reverse("litters:after", args=[litter.pk])
    litter.refresh_from_db()
    assert not litter.is_under_way
    assert lines("birth_under_way") == []
    assert birth_under_way(mira, on=ago(0)) is None


def test_the_sire_is_that_of_the_season_though_the_first_pups_are_dead(as_keeper, mira):
    cast.pair(mira, cast.male("Deneb", pure="motoro"), 130, 100)
    tapped(as_keeper, mira, fate="dead")
    page = tapped(as_keeper, mira, fate="dead")
    assert "Sire: Deneb, from her company and the signs." in words(page)
    page = tapped(as_keeper, mira)
    assert "Sire: Deneb" not in words(page)  # the litter says it from now on
    litter = Litter.objects.get()
    assert [pup.animal and pup.animal.sire.call_name for pup in litter.pups.order_by("number")] == [
        None,
        None,
        "Deneb",
    ]


def test_a_litter_born_dead_says_whose_it_is_by_company_and_signs(as_keeper, mira):
    cast.pair(mira, cast.male("Deneb", pure="motoro"), 130, 100)
    tapped(as_keeper, mira, fate="dead")
    litter = Litter.objects.get()
    page = words(as_keeper.get(litter.get_absolute_url()))
    assert "Deneb" in page
    assert "by her company and the signs: pups born dead keep no sire on record" in page
    tapped(as_keeper, mira)
    page = words(as_keeper.get(litter.get_absolute_url()))
    assert "pups born dead keep no sire" not in page


def test_a_litter_born_dead_of_nobody_that_is_known_says_so(as_keeper, mira):
    tapped(as_keeper, mira, fate="dead")
    page = words(as_keeper.get(Litter.objects.get().get_absolute_url()))
    assert "unknown" in page
    assert "pups born dead keep no sire" not in page


def test_one_more_pup_of_a_litter_born_dead_has_the_sire_of_the_season(as_keeper, mira):
    cast.pair(mira, cast.male("Deneb", pure="motoro"), 130, 100)
    tapped(as_keeper, mira, fate="dead")
    as_keeper.post(page_of(mira), {"over": "1"})
    litter = Litter.objects.get()
    address = reverse("litters:add_pup", args=[litter.pk])
    as_keeper.post(address, {"fate": "alive", "sex": "U"})
    assert litter.pups.get(number=2).animal.sire.call_name == "Deneb"


def test_one_said_to_be_dead_that_lives_has_the_sire_of_the_season(as_keeper, mira):
    cast.pair(mira, cast.male("Deneb", pure="motoro"), 130, 100)
    tapped(as_keeper, mira, fate="dead")
    pup = Pup.objects.get()
    as_keeper.post(f"/change/pup/{pup.pk}/", {"fate": "alive", "sex": "U"})
    pup.refresh_from_db()
    assert pup.animal.sire.call_name == "Deneb"


def test_how_many_are_dead_is_said_as_one_says_it(as_keeper, mira):
    assert "1 pup so far, and it is dead" in words(tapped(as_keeper, mira, fate="dead"))
    assert "2 pups so far, all of them dead" in words(tapped(as_keeper, mira, fate="dead"))
    assert "3 pups so far, 2 of them dead" in words(tapped(as_keeper, mira))


def test_a_pup_that_was_refused_is_not_lost_by_ending_the_birth_unasked(as_keeper, mira):
    page = tapped(as_keeper, mira)
    assert "That was all, without this pup" not in words(page)
    page = tapped(as_keeper, mira, disc_width_mm="7.1", weight_g="420")  # which is asked about
    assert "The pup below is not written yet: save it first, or it is lost." in words(page)
    assert "That was all, without this pup" in words(page)
    assert Pup.objects.count() == 1


def test_a_pup_that_is_tapped_already_is_asked_about_before_the_birth_is_ended(as_keeper, mira):
    tapped(as_keeper, mira)
    typed = {"fate": "dead", "sex": "U", "disc_width_mm": "9,4"}
    page = as_keeper.post(page_of(mira), typed | {"over": "1"})
    assert "This pup is not written yet: save it, or end without it." in words(page)
    assert 'value="9,4"' in page.content.decode()
    assert birth_under_way(mira, on=ago(0)) is not None
    page = as_keeper.post(page_of(mira), typed | {"over": "with"}, follow=True)
    litter = Litter.objects.get()
    assert page.redirect_chain[-1][0] == reverse("litters:after", args=[litter.pk])
    assert f"Litter {litter.code} of Mira is whole: 2 pups." in words(page)
    assert not litter.is_under_way
    assert litter.pups.get(number=2).disc_width_mm == 94


def test_a_birth_is_ended_without_the_pup_that_is_tapped_only_when_that_is_said(as_keeper, mira):
    tapped(as_keeper, mira)
    as_keeper.post(page_of(mira), {"fate": "alive", "sex": "U", "over": "without"})
    litter = Litter.objects.get()
    assert (litter.is_under_way, litter.pups.count()) == (False, 1)


def test_a_tap_on_the_sex_that_nobody_saw_begins_no_pup(as_keeper, mira):
    tapped(as_keeper, mira)
    as_keeper.post(page_of(mira), {"sex": "U", "weight_g": "", "over": "1"})
    assert not Litter.objects.get().is_under_way


def test_enter_in_a_field_never_ends_a_birth(as_keeper, mira):
    tapped(as_keeper, mira)
    page = tapped(as_keeper, mira, weight_g="ten")
    form = page.content.decode().partition('class="logform"')[2].partition("</form>")[0]
    first, *others = re.findall(r"<button[^>]*>", form)  # Enter presses the first
    assert "over" not in first
    assert sum('name="over"' in one for one in others) == 2


def test_a_pup_of_the_next_day_has_the_day_of_its_litter(mira):
    first = tap(mira, days=1)
    second = tap(mira, days=0)
    assert second.litter == first.litter
    assert second.animal.born_on == ago(1)


def test_a_birth_forgotten_under_way_takes_no_pups_of_a_later_one(mira):
    first = tap(mira, days=200)
    assert birth_under_way(mira, on=ago(0)) is None
    second = tap(mira)
    assert second.litter != first.litter


def test_sent_twice_is_one_pup(as_keeper, mira):
    page = as_keeper.get(page_of(mira))
    once = page.content.decode().split('name="once" value="')[-1].split('"')[0]
    for _ in range(2):
        tapped(as_keeper, mira, once=once)
    assert Pup.objects.count() == 1


def test_a_picture_becomes_its_portrait_and_a_dead_pup_has_none(as_keeper, mira):
    def file():
        return SimpleUploadedFile("pup.jpg", picture().read(), "image/jpeg")

    refused = tapped(as_keeper, mira, fate="dead", picture=file())
    assert "a pup born dead has none" in words(refused)
    assert Pup.objects.count() == 0
    tapped(as_keeper, mira, picture=file())
    assert Pup.objects.get().animal.portrait is not None


def test_who_says_neither_alive_nor_dead_is_asked(as_keeper, mira):
    page = tapped(as_keeper, mira, fate="", weight_g="50")
    assert "Say whether this pup is alive or dead." in words(page)
    assert 'value="50"' in words(page)


def test_a_male_has_no_birth(as_keeper, owner):
    assert as_keeper.get(page_of(cast.male("Deneb"))).status_code == 404


def test_weight_and_yolk_are_put_right_with_the_measurement(mira):
    pup = tap(mira, disc_width_mm=100, weight_g=50, yolk="small")
    now = timezone.now()
    correct_pup(pup, PupFacts(disc_width_mm=100, weight_g=55, yolk="none"), by=None, now=now)
    pup.refresh_from_db()
    assert (pup.weight_g, pup.yolk) == (55, "none")
    assert pup.animal.measurements.get().weight_g == 55
    correct_pup(pup, PupFacts(), by=None, now=now)
    assert pup.animal.measurements.count() == 0


def test_a_weight_that_is_added_later_is_a_measurement_of_the_birth(mira):
    pup = tap(mira)
    correct_pup(pup, PupFacts(weight_g=48), by=None, now=timezone.now())
    measured = pup.animal.measurements.get()
    assert (measured.on, measured.disc_width_mm, measured.weight_g) == (ago(0), None, 48)


def test_a_withdrawn_pup_comes_back_with_its_weight(mira):
    tap(mira)
    pup = tap(mira, disc_width_mm=100, weight_g=50)
    withdraw_pup(pup, by=None, now=timezone.now(), reason="Counted twice.")
    assert Measurement.objects.count() == 0
    bring_pup_back(pup)
    assert Measurement.objects.get().weight_g == 50


# ------------------------------------------------------------------------------- first food


def test_first_food_is_a_span_by_the_yolk_with_its_sources(as_viewer, mira):
    pup = tap(mira, days=3)
    end_birth(pup.litter)
    page = words(as_viewer.get(reverse("litters:after", args=[pup.litter_id])))
    assert "on record from day 2 to day 9: look, do not count" in page
    assert "Wehrli 2005" in page
    assert "Janse and Schrama 2010" in page


def test_the_day_asks_for_first_food_until_a_meal_is_on_record(mira):
    pups = [tap(mira, days=3, yolk="large"), tap(mira, days=3)]
    (line,) = lines("first_food")
    assert line.what == "offer first food: look at the yolk"
    assert line.on == ago(1)
    assert "A large yolk sac at birth: 1." in line.why
    for took, pup in (("none", pups[0]), ("little", pups[1])):
        round_ = Feeding.objects.create(fed_at=timezone.now())
        Meal.objects.create(feeding=round_, animal=pup.animal, took=took)
    (line,) = lines("first_food")
    assert line.why.startswith(f"No meal of {pups[0].animal.name} is on record")
    Meal.objects.filter(took="none").update(took="all")
    assert lines("first_food") == []


def test_one_without_yolk_is_fed_from_its_first_day(mira):
    tap(mira, yolk="none")
    (line,) = lines("first_food")
    assert line.on == ago(0)


def test_a_litter_is_to_be_weighed_a_week_after_it_was_last(mira):
    tap(mira, days=8)
    (line,) = lines("weigh_young")
    assert line.on == ago(8) + datetime.timedelta(days=7)
    for pup in Pup.objects.all():
        Measurement.objects.create(animal=pup.animal, on=ago(0), weight_g=60)
    assert lines("weigh_young") == []
