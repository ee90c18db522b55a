"""One page to write down a sighting, a meal, a weight, water and a note, of one or of several."""

import datetime
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from breeding.animals.models import Measurement
from breeding.feeding.models import Feeding, Food
from breeding.housing.models import Tank, TankWork, WaterChange
from breeding.housing.services import move_animal
from breeding.pairings.log.whom import likely_now, whom
from breeding.pairings.models import Sighting, SignKind
from breeding.program import clock
from breeding.program.models import Act
from tests import cast
from tests.cast import ago, pair, see, words
from tests.everything import picture

pytestmark = pytest.mark.django_db

LOG, FED, WEIGHED, WATER, NOTE = (
    reverse(f"pairings:{name}")
    for name in ("log", "log_fed", "log_weighed", "log_water", "log_note")
)


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro", born_on=ago(1500))


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb", pure="motoro", born_on=ago(1500))


@pytest.fixture
def pool(mira, deneb):
    """A tank with the two in it since a month."""
    tank = Tank.objects.create(name="Pool")
    for one in (mira, deneb):
        move_animal(one, tank, on=ago(30), by=None, sure=cast.SURE, reason="room")
    return tank


def sign(key):
    return SignKind.objects.get(key=key).pk


def seen(client, **facts):
    return client.post(LOG, {"kind": sign("copulation"), "with_whom": "mate"} | facts, follow=True)


# ------------------------------------------------------------------------------- the male, the time


def test_each_sign_is_drawn_on_its_button(as_keeper, mira):
    page = as_keeper.get(LOG).content.decode()
    keys = list(SignKind.objects.values_list("key", flat=True))
    assert len(keys) == 12
    for key in keys:
        assert page.count(f'<symbol id="sign-{key}"') == 1
        assert page.count(f'<use href="#sign-{key}"/>') == 1


def test_the_male_is_filled_in_from_who_is_with_her(as_keeper, mira, deneb):
    pair(mira, deneb, 5)
    page = words(seen(as_keeper, female=mira.pk))
    assert Sighting.objects.get().male == deneb
    assert "Written: Mira, mating, with Deneb. Chance that she is pregnant" in page


def test_the_male_is_the_one_of_that_time(as_keeper, mira, deneb):
    pair(mira, deneb, 40, 20)
    pair(mira, cast.male("Altair"), 10)
    at = timezone.localtime(clock.now() - datetime.timedelta(days=30))
    seen(as_keeper, female=mira.pk, seen_at=f"{at:%Y-%m-%dT%H:%M}")
    assert Sighting.objects.get().male == deneb


def test_of_two_males_none_is_guessed(as_keeper, mira, deneb):
    for one in (deneb, cast.male("Altair")):
        pair(mira, one, 5)
    page = words(seen(as_keeper, female=mira.pk))
    assert "Mira was with Altair and Deneb: choose which" in page or (
        "Mira was with Deneb and Altair: choose which" in page
    )
    assert not Sighting.objects.exists()
    seen(as_keeper, female=mira.pk, with_whom="nobody")
    assert Sighting.objects.get().male is None


def test_a_sign_without_a_part_of_his_names_no_male(as_keeper, mira, deneb):
    pair(mira, deneb, 5)
    seen(as_keeper, female=mira.pk, kind=sign("belly_sunken"))
    assert Sighting.objects.get().male is None


@pytest.mark.parametrize(("when", "hours"), [("now", 0), ("hour", 1), ("", 0)])
def test_a_time_is_a_button(as_keeper, mira, when, hours):
    before = clock.now()
    seen(as_keeper, female=mira.pk, when=when)
    meant = before - datetime.timedelta(hours=hours)
    assert abs(Sighting.objects.get().seen_at - meant) < datetime.timedelta(minutes=1)


def test_last_evening_is_at_eight_and_what_is_typed_counts_before_it(as_keeper, mira):
    seen(as_keeper, female=mira.pk, when="evening")
    assert timezone.localtime(Sighting.objects.get().seen_at).hour == 20
    seen(as_keeper, female=mira.pk, when="evening", seen_at=f"{ago(3)}T11:15")
    assert timezone.localtime(Sighting.objects.first().seen_at).minute in (0, 15)
    assert {timezone.localtime(one.seen_at).hour for one in Sighting.objects.all()} == {11, 20}


# -------------------------------------------------------------------------------- one and several


def test_several_at_once_are_a_sighting_each_and_one_act(as_keeper, mira, deneb):
    page = words(seen(as_keeper, female=[mira.pk, deneb.pk], kind=sign("off_food")))
    assert {one.female for one in Sighting.objects.all()} == {mira, deneb}
    assert "Written: Mira and Deneb, off food." in page


def test_a_tank_is_everybody_in_it(as_keeper, pool, mira, deneb):
    seen(as_keeper, female=f"tank-{pool.pk}", kind=sign("off_food"))
    assert {one.female for one in Sighting.objects.all()} == {mira, deneb}


def test_of_several_all_or_none_is_written(as_keeper, mira, deneb):
    page = words(seen(as_keeper, female=[mira.pk, deneb.pk]))
    assert "is written down of the female" in page
    assert not Sighting.objects.exists()


def test_an_empty_tank_and_a_picture_of_several_are_refused_in_words(as_keeper, mira, deneb):
    bay = Tank.objects.create(name="Bay")
    assert "Nobody is in Bay on record." in words(seen(as_keeper, female=f"tank-{bay.pk}"))
    file = SimpleUploadedFile("w.png", picture().getvalue(), "image/png")
    several = {"female": [mira.pk, deneb.pk], "kind": sign("off_food"), "photograph": file}
    assert "A picture is of one animal" in words(seen(as_keeper, **several))
    assert not Sighting.objects.exists()


@pytest.mark.parametrize("who", ["999999", "x", "tank-999", "tank-", "-1", "²"])
def test_whoever_is_not_there_is_refused_in_words(as_keeper, mira, who):
    page = words(seen(as_keeper, female=who))
    assert "is not possible for “Who”; choose one of those shown." in page


# ------------------------------------------------------------------------------ what else is logged


def test_a_meal_of_a_tank_and_of_one_is_a_round_each(as_keeper, pool, mira):
    vega = cast.female("Vega")
    food = Food.objects.create(name="Tank worms")
    sent = {"female": [f"tank-{pool.pk}", vega.pk], "food": food.pk}
    page = words(as_keeper.post(FED, sent, follow=True))
    assert "Written: Pool, Tank worms; Vega, Tank worms; all ate." in page
    assert {one.tank: one.meals.count() for one in Feeding.objects.all()} == {pool: 2, None: 1}


def test_an_amount_is_of_one_tank(as_keeper, pool):
    bay = Tank.objects.create(name="Bay")
    move_animal(cast.female("Vega"), bay, on=ago(3), by=None)
    sent = {"female": [f"tank-{pool.pk}", f"tank-{bay.pk}"], "new_food": "Prawn", "amount_g": "20"}
    assert "An amount is for one tank" in words(as_keeper.post(FED, sent, follow=True))
    assert not Feeding.objects.exists()
    as_keeper.post(FED, sent | {"female": f"tank-{pool.pk}"})
    assert Feeding.objects.get().amount_g == Decimal(20)


def test_a_weight_is_a_measurement_of_its_day(as_keeper, mira):
    sent = {"female": mira.pk, "weight_g": "900", "when": "evening"}
    assert "Mira is measured." in words(as_keeper.post(WEIGHED, sent, follow=True))
    assert Measurement.objects.get(animal=mira).weight_g == 900
    assert "Write a weight, a size, or both." in words(as_keeper.post(WEIGHED, {"female": mira.pk}))


def test_several_are_weighed_in_one_table(as_keeper, mira, deneb):
    page = words(as_keeper.get(WEIGHED, {"female": [mira.pk, deneb.pk]}))
    assert "Weigh several" in page
    assert f'name="weight_g_{deneb.pk}"' in page
    both = {"female": [mira.pk, deneb.pk], "weight_g": "9"}
    assert "several are weighed in one table" in words(as_keeper.post(WEIGHED, both))


def test_water_of_several_tanks_is_changed_or_seen_to(as_keeper):
    bay, pool = (Tank.objects.create(name=name) for name in ("Bay", "Pool"))
    both = {"female": [f"tank-{bay.pk}", f"tank-{pool.pk}"]}
    page = words(as_keeper.post(WATER, both | {"done": "change-30"}, follow=True))
    assert "Written: Bay and Pool, 30 % changed." in page
    assert {(one.tank, one.percent) for one in WaterChange.objects.all()} == {(bay, 30), (pool, 30)}
    as_keeper.post(WATER, both | {"done": "filter"})
    assert {one.kind for one in TankWork.objects.all()} == {"filter"}


def test_an_animal_is_no_tank(as_keeper, mira):
    Tank.objects.create(name="Bay")
    refused = words(as_keeper.post(WATER, {"female": mira.pk, "done": "filter"}))
    assert "Mira is not a tank; choose the tank." in refused


def test_a_note_about_an_animal_is_something_else_seen_and_about_a_tank_other_care(
    as_keeper, pool, mira
):
    sent = {"female": [mira.pk, f"tank-{pool.pk}"], "note": "Digs at the left pane"}
    page = words(as_keeper.post(NOTE, sent, follow=True))
    assert "Written: a note about Mira and Pool." in page
    sighting, care = Sighting.objects.get(), TankWork.objects.get()
    assert (sighting.female, sighting.kind.key, sighting.note) == (mira, "other", sent["note"])
    assert (care.tank, care.kind, care.note) == (pool, "other", sent["note"])


# ------------------------------------------------------------------------------------ the receipt


def test_what_is_saved_leads_to_its_receipt_with_undo_and_another(as_keeper, mira):
    page = words(seen(as_keeper, female=mira.pk))
    assert "<h1>Written down</h1>" in page
    assert "Undo" in page
    assert f'href="{LOG}">Log another</a>' in page
    assert "<textarea" not in page
    assert 'name="kind"' not in page


def test_the_receipt_without_an_act_and_with_strange_keys_is_a_page(as_keeper):
    for asked in ("", "?animal=x&tank=9", "?what=%00", "?animal=" + "9" * 30):
        assert as_keeper.get(reverse("pairings:logged") + asked).status_code == 200


# ---------------------------------------------------------------------------------------- who


def names(found):
    return [one.animal.name for one in found]


def test_recent_and_expected_come_first_then_tanks_then_letters(pool, mira, deneb):
    apart, seen_once = cast.female("Zosma"), cast.female("Yildun")
    pair(apart, deneb, 60, 50)
    see(seen_once, 2, "off_food")
    pair(mira, deneb, 5)
    cast.female("Adhara")
    found = whom(likely_now(clock.now()))
    assert names(found.likely) == ["Mira", "Zosma", "Yildun"]
    assert [(one.tank.name, names(one.inside)) for one in found.tanks] == [("Pool", ["Deneb"])]
    assert names(found.loose) == ["Adhara"]
    assert names(found) == ["Mira", "Zosma", "Yildun", "Deneb", "Adhara"]


def test_one_chosen_is_offered_whatever_is_looked_for(mira, deneb):
    found = whom(likely_now(clock.now()), words="dene", chosen=[str(mira.pk)])
    assert sorted(names(found)) == ["Deneb", "Mira"]


def test_at_two_hundred_animals_a_log_page_is_light_and_asks_no_more(as_keeper, pool):
    def questions():
        with CaptureQueriesContext(connection) as asked:
            page = as_keeper.get(LOG)
        return len(asked), len(page.content)

    questions()
    few, _ = questions()
    for number in range(200):
        one = cast.female(f"Star {number:03}", pure="motoro")
        if number % 2:
            move_animal(one, pool, on=ago(3), by=None, sure=cast.SURE, reason="room")
    many, size = questions()
    assert many <= few
    assert size < 100_000


def test_a_mating_that_nobody_could_have_done_leads_to_the_question_with_whom_she_was(
    as_keeper, mira
):
    """A chance beside it would be one that the mating has no part in."""
    pool = Tank.objects.create(name="Pool")
    move_animal(mira, pool, on=ago(90), by=None, sure=cast.SURE, reason="room")
    answer = seen(as_keeper, female=mira.pk, kind=sign("following"), with_whom="nobody")
    assert answer.redirect_chain[-1][0] == reverse("pairings:female", args=[mira.pk])
    page = words(answer)
    assert "Nothing follows from it until it is said with whom she was." in page
    assert "on record no mature male could have reached Mira then" in page
    assert "Chance that she is pregnant:" not in page


def test_the_receipt_of_what_was_undone_says_so(as_keeper, mira, deneb):
    pair(mira, deneb, 5)
    answer = seen(as_keeper, female=mira.pk)
    receipt = answer.redirect_chain[-1][0]
    assert "<h1>Written down</h1>" in as_keeper.get(receipt).content.decode()
    as_keeper.post(reverse("program:undo", args=[Act.objects.get().pk]))
    page = as_keeper.get(receipt).content.decode()
    assert "<h1>Undone</h1>" in page
    assert "<h1>Written down</h1>" not in page
