"""The nursery's list before a birth, and the rest after one."""

import datetime

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import translation

from breeding.housing.services import close_divider, move_animal
from breeding.litters.queries import care_after
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.care.nursery import nurseries, nursery_of
from breeding.pairings.care.rest import rest_until, rests
from breeding.pairings.care.services import choose_nursery, rest_after, tick_apart, tick_nursery
from breeding.pairings.models import NurseryTick, Outcome, Pairing
from breeding.pairings.season.reading import season_of
from breeding.pairings.services import record_scan
from breeding.program import clock
from breeding.program.queries import the_program
from tests import cast
from tests.cast import ago, pair, words
from tests.pairings.acts import fit_water, see, tank

pytestmark = pytest.mark.django_db


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb", pure="motoro")


def expecting(female, male, days=90):
    pair(female, male, days + 1, days)
    see(female, days=days)
    record_scan(female=female, on=ago(20), positive=True, today=clock.today(), by=None)


def now_of(female):
    return nursery_of(season_of(female, the_program(), asof=clock.today()), the_program())


def choose(female, tank):
    return choose_nursery(female, tank, on=clock.today(), by=None, now=clock.now())


def tick(female, item, tank=None):
    return tick_nursery(female, item, on=clock.today(), by=None, now=clock.now(), tank=tank)


def done(nursery):
    return {point.key for point in nursery.points if point.is_done}


def page_of(female):
    return reverse("pairings:nursery", args=[female.pk])


def test_an_empty_list_says_what_is_open_and_by_when(as_viewer, mira, deneb):
    expecting(mira, deneb)
    found = now_of(mira)
    assert found.lacks[0] == "tank chosen"
    assert found.state_words.startswith("0 of 7 seen to; open: tank chosen, tank free")
    window = found.season.estimate.announced
    assert found.ready_by == window.p05 - datetime.timedelta(days=7)
    page = words(as_viewer.get(page_of(mira)))
    assert "Wanted by" in page
    assert "No tank is written down yet." in page


def test_free_and_fit_are_computed_from_the_tanks_own_records(mira, deneb):
    expecting(mira, deneb)
    cove = tank("Cove")
    choose(mira, cove)
    assert done(now_of(mira)) == {"tank", "free"}
    fit_water(cove, days=3)
    assert "water" in done(now_of(mira))
    fit_water(cove, days=1, nitrite="0.1")
    found = now_of(mira)
    assert "water" not in done(found)
    assert "nitrite 0.1 mg/L" in next(one.words for one in found.points if one.key == "water")
    vega = cast.female("Vega")
    move_animal(vega, cove, on=clock.today(), by=None)
    assert "free" not in done(now_of(mira))


def test_a_water_test_of_four_days_ago_says_nothing_any_more(mira, deneb):
    expecting(mira, deneb)
    cove = tank("Cove")
    choose(mira, cove)
    fit_water(cove, days=4)
    assert "water" not in done(now_of(mira))
    (water,) = [one for one in now_of(mira).points if one.key == "water"]
    assert water.words.endswith("Test it again: in a nursery a test counts for 3 days.")


def test_she_herself_is_no_company_for_her_pups(mira, deneb):
    expecting(mira, deneb)
    choose(mira, tank("Cove", mira))
    assert "free" in done(now_of(mira))


def test_everything_seen_to_is_ready(mira, deneb):
    expecting(mira, deneb)
    cove = tank("Cove")
    choose(mira, cove)
    fit_water(cove)
    for item in ("cycled", "divider"):
        tick(mira, item, cove)
    tick(mira, "food")
    assert now_of(mira).lacks == ["males away"]
    tick(mira, "males")
    found = now_of(mira)
    assert found.is_ready
    assert found.state_words == "ready: all 7 points seen to"


def test_a_tick_does_not_hold_against_a_male_on_record(mira, deneb):
    expecting(mira, deneb)
    tick(mira, "males")
    pair(mira, cast.male("Altair"), 1)
    found = now_of(mira)
    assert "males" not in done(found)
    assert "Mira is with Altair on record" in found.points[-1].words


def test_another_tank_starts_its_own_points_anew(mira, deneb):
    expecting(mira, deneb)
    cove, bay = tank("Cove"), tank("Bay")
    choose(mira, cove)
    tick(mira, "cycled", cove)
    tick(mira, "food")
    choose(mira, bay)
    assert done(now_of(mira)) == {"tank", "free", "food"}
    assert NurseryTick.objects.filter(item="tank").count() == 2  # the first stays readable


def test_ticks_of_one_birth_do_not_count_for_the_next(mira, deneb):
    expecting(mira, deneb)
    tick(mira, "food")
    Outcome.objects.create(female=mira, on=clock.today(), kind="live_birth")
    assert done(now_of(mira)) == set()
    tick(mira, "food")
    assert done(now_of(mira)) == {"food"}


@pytest.mark.parametrize(
    ("item", "said"),
    [
        ("tank", "“tank” is not on the list"),
        ("x", "“x” is not on the list"),
        ("apart", "“apart” is not on the list"),
        ("cycled", "Choose the tank first"),
    ],
)
def test_what_cannot_be_ticked_is_said(mira, item, said):
    with pytest.raises(ValidationError, match=said):
        tick(mira, item)


def test_page_ticks_takes_back_and_chooses_with_who_and_when(as_keeper, mira, deneb):
    expecting(mira, deneb)
    cove = tank("Cove")
    page = words(as_keeper.post(page_of(mira), {"tank": cove.pk}, follow=True))
    assert "Cove is the nursery for Mira's pups." in page.replace("&#x27;", "'")
    page = words(as_keeper.post(page_of(mira), {"tick": "divider"}, follow=True))
    assert "Ticked: divider in." in page
    assert "by Sam." in page
    made = NurseryTick.objects.get(item="divider")
    assert (made.recorded_by.username, made.on, made.tank) == ("sam", clock.today(), cove)
    page = words(as_keeper.post(page_of(mira), {"untick": made.pk}, follow=True))
    assert "Taken back: divider in." in page
    made.refresh_from_db()
    assert made.withdrawn_reason == "taken back on the list"
    with translation.override("de"):
        assert made.why_withdrawn == "auf der Liste zurückgenommen"


@pytest.mark.parametrize(
    "sent", [{}, {"tick": "nothing"}, {"tick": "cycled"}, {"untick": "99"}, {"tank": "x"},
             {"tick": "tank"}, {"untick": "²"}],
)  # fmt: skip
def test_page_answers_wrong_taps_with_words(as_keeper, mira, sent):
    answer = as_keeper.post(page_of(mira), sent)
    assert answer.status_code == 200
    assert 'class="said error wrong"' in words(answer)
    assert not NurseryTick.objects.exists()


def test_page_reads_for_viewers_and_writes_for_keepers_only(as_viewer, as_keeper, mira):
    assert as_viewer.get(page_of(mira)).status_code == 200
    assert as_viewer.post(page_of(mira), {"tick": "food"}).status_code == 403
    assert as_keeper.get(reverse("pairings:nursery", args=[999])).status_code == 404


def test_page_folds_all_but_the_best_few_tanks_and_never_the_chosen_one(as_keeper, mira, deneb):
    """Seven tanks by name: four are shown; the chosen seventh joins them."""
    expecting(mira, deneb)
    places = [tank(f"Bay {number}") for number in range(1, 8)]
    page = words(as_keeper.get(page_of(mira)))
    shown, folded = page.split("<summary>3 more tanks</summary>")
    assert [one.name in shown for one in places] == [True] * 4 + [False] * 3
    assert all(f">Bay {number}</b>" in folded for number in (5, 6, 7))
    choose(mira, places[6])
    shown, folded = words(as_keeper.get(page_of(mira))).split("<summary>2 more tanks</summary>")
    assert ">Bay 7</b>" in shown
    assert "chosen" in shown
    assert ">Bay 7</b>" not in folded


def test_page_asks_as_many_questions_with_ten_more_tanks(as_keeper, mira, deneb):
    expecting(mira, deneb)

    def questions():
        with CaptureQueriesContext(connection) as asked:
            as_keeper.get(page_of(mira))
        return len(asked)

    tank("Cove", cast.female("Vega"))
    questions()
    before = questions()
    for number in range(10):
        fit_water(tank(f"Tank {number}", cast.female(f"Star {number}")))
    questions()
    assert questions() <= before


def test_the_nurseries_of_all_females_take_eight_questions(mira, deneb):
    cove = tank("Cove")
    females = [mira] + [cast.female(f"Star {number}", pure="motoro") for number in range(5)]
    for female in females:
        choose(female, cove)
    seasons = [season_of(one, the_program(), asof=clock.today()) for one in females]
    program = the_program()
    nurseries(seasons, program)
    with CaptureQueriesContext(connection) as asked:
        assert len(nurseries(seasons, program)) == 6
    assert len(asked) <= 8  # who lives in the water is one of them, and of which species two


# -------------------------------------------------------------------------------- after a birth


def born(dam, days=10, alive=True):
    return record_birth(
        dam=dam, born_on=ago(days), pups=[PupFacts(alive=alive)], today=clock.today(), by=None
    )


def test_no_rest_is_set_by_default(mira):
    born(mira)
    assert rest_until(mira, the_program(), asof=clock.today()) is None


def test_the_programs_rest_days_hold_unless_the_keeper_says_otherwise(mira):
    litter = born(mira)
    program = cast.the_program(rest_days=60)
    assert rest_until(mira, program, asof=clock.today()) == ago(-50)
    rest_after(litter.outcome, until=ago(-90), by=None, note="thin")
    assert rest_until(mira, program, asof=clock.today()) == ago(-90)
    rest_after(litter.outcome, until=ago(10), by=None)  # the day of the birth: no rest
    assert rest_until(mira, program, asof=clock.today()) is None
    assert rest_until(mira, program, asof=ago(11)) is None  # before the birth


def test_rests_of_many_take_two_questions(mira):
    born(mira)
    vega = cast.female("Vega")
    born(vega, 3)
    program = cast.the_program(rest_days=7)
    with CaptureQueriesContext(connection) as asked:
        found = rests([mira, vega], program, asof=clock.today())
    assert found == {mira.pk: ago(3), vega.pk: ago(-4)}
    assert len(asked) == 2


def test_a_rest_that_cannot_be_is_refused_by_name(mira):
    litter = born(mira)
    with pytest.raises(ValidationError, match="is before the birth on"):
        rest_after(litter.outcome, until=ago(11), by=None)
    with pytest.raises(ValidationError, match="more than 1096 days after"):
        rest_after(litter.outcome, until=ago(-2000), by=None)
    lost = Outcome.objects.create(female=mira, on=ago(1), kind="resorbed")
    with pytest.raises(ValidationError, match="no birth to rest from"):
        rest_after(lost, until=ago(-9), by=None)


def test_pairing_her_earlier_asks_once_more_and_does_not_refuse(as_keeper, mira, deneb):
    rest_after(born(mira).outcome, until=ago(-20), by=None)
    sent = {"female": mira.pk, "male": deneb.pk, "introduced_on": clock.today().isoformat()}
    sent |= {"looked_at": f"{mira.pk}-{deneb.pk}", "save": "1"}
    page = words(as_keeper.post(reverse("pairings:new"), sent))
    assert "Mira is meant to rest until" in page
    assert "Put them together all the same" in page
    assert not Pairing.objects.exists()
    seen = page.split('name="rest_seen" value="')[1].split('"')[0]
    as_keeper.post(reverse("pairings:new"), sent | {"rest_seen": seen})
    assert Pairing.objects.get().female == mira


def test_after_a_birth_pups_and_males_are_asked_apart_until_it_is_ticked(as_keeper, mira, deneb):
    litter = born(mira)
    page = reverse("litters:after", args=[litter.pk])
    assert "Nobody has ticked yet" in words(as_keeper.get(litter.get_absolute_url()))
    answer = words(as_keeper.post(page, {"apart": "1"}, follow=True))
    assert "Pups and males are apart." in answer
    assert "by Sam" in answer
    assert "Nobody has ticked yet" not in words(as_keeper.get(litter.get_absolute_url()))
    as_keeper.post(page, {"apart": "1"})
    assert NurseryTick.objects.count() == 1


def test_a_male_in_the_pups_tank_speaks_against_the_tick(as_keeper, mira, deneb):
    pool = tank("Pool", mira)
    litter = born(mira)
    tick_apart(litter.outcome, on=clock.today(), by=None)
    assert not care_after(litter, the_program(), asof=clock.today()).asks_for_separation
    move_animal(deneb, pool, on=clock.today(), by=None, sure=cast.SURE)
    care = care_after(litter, the_program(), asof=clock.today())
    assert care.males == (deneb,)
    assert care.asks_for_separation
    page = words(as_keeper.get(reverse("litters:after", args=[litter.pk])))
    assert reverse("housing:move", args=[deneb.pk]) in page


def test_pups_are_put_on_their_dams_side_of_a_closed_divider(as_keeper, mira, deneb):
    pool = tank("Pool", mira, deneb, can_divide=True)
    close_divider(pool, left=[mira], right=[deneb], on=ago(20), by=None)
    litter = born(mira)
    pup = litter.pups.get().animal
    assert pup.stays.get().side == "left"
    assert care_after(litter, the_program(), asof=clock.today()).males == ()


def test_nothing_is_asked_for_pups_that_are_dead_or_grown(mira, deneb):
    assert not care_after(
        born(mira, alive=False), the_program(), asof=clock.today()
    ).asks_for_separation
    litter = born(cast.female("Vega"), 100)
    assert not care_after(litter, the_program(), asof=clock.today()).asks_for_separation


def test_after_page_keeps_the_rest_and_names_what_is_wrong(as_keeper, as_viewer, mira):
    litter = born(mira)
    page = reverse("litters:after", args=[litter.pk])
    for wrong, said in (
        ("soon", "“soon” is not possible for"),
        (ago(99).isoformat(), "is before the birth on"),
    ):
        assert said in words(as_keeper.post(page, {"until": wrong}))
    answer = words(as_keeper.post(page, {"until": ago(-30).isoformat()}, follow=True))
    assert "Mira rests until" in answer
    season_page = words(as_keeper.get(reverse("pairings:female", args=[mira.pk])))
    assert "after her last birth, by your choice" in season_page
    assert as_viewer.post(page, {"apart": "1"}).status_code == 403
    assert as_keeper.get(reverse("litters:after", args=[99])).status_code == 404


def test_of_a_divided_tank_the_side_she_is_on_is_the_one_chosen(as_keeper, mira, deneb):
    expecting(mira, deneb)
    vega = cast.female("Vega", pure="motoro")
    pool = tank("Pool", mira, vega, can_divide=True)
    close_divider(pool, left=[vega], right=[mira], on=ago(20), by=None)
    capella = cast.female("Capella", pure="motoro")
    shoal = tank("Shoal", deneb, capella, can_divide=True)
    close_divider(shoal, left=[deneb, capella], right=[], on=ago(20), by=None)
    choose(mira, pool)
    page = words(as_keeper.get(page_of(mira)))
    rows = page.split('<div class="row')[1:]
    marked = {row.split("<b>")[1].split("</b>")[0]: "chosen</span>" in row for row in rows}
    assert marked == {"Shoal, right side": False, "Pool, right side": True}
