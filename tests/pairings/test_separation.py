"""Taking two apart: planned and actual, who is moved where, and that tanks and pairings agree."""

import re

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.housing.models import Stay
from breeding.housing.queries import where_are
from breeding.pairings.care.separation import late_words, scene_of, separation_of
from breeding.pairings.models import Pairing
from breeding.pairings.season.reading import season_of
from breeding.pairings.services import open_pairing, plan_separation, record_scan, separate
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


def part(pairing, **facts):
    return separate(pairing, on=clock.today(), today=clock.today(), **facts)


def place(animal):
    stay = where_are([animal]).get(animal.pk)
    return stay.place if stay else None


def address(pairing):
    return reverse("pairings:separate", args=[pairing.pk])


def typed(**more):
    return {"on": clock.today().isoformat(), "moved": "", "tank": "", "note": ""} | more


# ------------------------------------------------------------------------------------ the act


def test_the_male_is_moved_in_the_same_act(mira, deneb):
    tank("Pool", mira, deneb)
    bay = tank("Bay")
    pairing = part(pair(mira, deneb, 20), moved="male", tank=bay)
    assert (pairing.separated_on, pairing.moved_to) == (clock.today(), bay)
    assert (place(deneb), place(mira)) == ("Bay", "Pool")


def test_when_the_move_cannot_be_nobody_is_apart(mira, deneb):
    pool = tank("Pool", mira, deneb)
    pairing = pair(mira, deneb, 20)
    with pytest.raises(ValidationError, match="Mira is in Pool on that day; choose another tank"):
        part(pairing, moved="male", tank=pool)
    pairing.refresh_from_db()
    assert pairing.is_open
    assert place(deneb) == "Pool"


def test_a_male_moved_beforehand_is_not_moved_twice(mira, deneb):
    tank("Pool", mira)
    bay = tank("Bay", deneb, since=2)
    part(pair(mira, deneb, 20), moved="male", tank=bay)
    assert Stay.objects.filter(animal=deneb).count() == 1


def test_moved_to_no_tank_on_record_ends_the_stay(mira, deneb):
    tank("Pool", mira, deneb)
    part(pair(mira, deneb, 20), moved="male")
    assert place(deneb) is None
    assert place(mira) == "Pool"


def test_a_tank_without_saying_who_was_moved_is_asked_about(mira, deneb):
    bay = tank("Bay")
    with pytest.raises(ValidationError, match="Who was moved to Bay"):
        part(pair(mira, deneb, 20), tank=bay)


def test_closing_the_divider_parts_them_in_their_tank(mira, deneb):
    tank("Pool", mira, deneb, can_divide=True)
    part(pair(mira, deneb, 20), moved="divider", left=[mira], right=[deneb])
    assert place(mira) == "Pool, left side"
    assert place(deneb) == "Pool, right side"


def test_both_on_one_side_of_the_divider_is_refused(mira, deneb):
    vega = cast.female("Vega")
    tank("Pool", mira, deneb, vega, can_divide=True)
    with pytest.raises(ValidationError, match="are both on one side of the divider"):
        part(pair(mira, deneb, 20), moved="divider", left=[mira, deneb], right=[vega])
    assert place(mira) == "Pool"


def test_a_tank_without_a_divider_says_so(mira, deneb):
    tank("Pool", mira, deneb)
    with pytest.raises(ValidationError, match="Pool has no divider on record"):
        part(pair(mira, deneb, 20), moved="divider", left=[mira], right=[deneb])


def test_a_male_moved_leaves_his_other_females_in_that_tank_as_well(mira, deneb):
    vega, izar = cast.female("Vega"), cast.female("Izar")
    tank("Pool", mira, deneb, vega)
    bay = tank("Bay")
    with_vega, with_izar = pair(vega, deneb, 10), pair(izar, deneb, 5)
    part(pair(mira, deneb, 20), moved="male", tank=bay)
    with_vega.refresh_from_db()
    with_izar.refresh_from_db()
    assert with_vega.separated_on == clock.today()
    assert with_vega.separation_note == "Together with Mira and Deneb"
    assert with_izar.is_open  # nobody wrote down where Izar is, so nothing is known


def test_a_closed_divider_leaves_those_on_one_side_together(mira, deneb):
    vega = cast.female("Vega")
    tank("Pool", mira, deneb, vega, can_divide=True)
    with_vega = pair(vega, deneb, 10)
    part(pair(mira, deneb, 20), moved="divider", left=[mira], right=[deneb, vega])
    with_vega.refresh_from_db()
    assert with_vega.is_open


# ----------------------------------------------------------------------------------- the plan


def test_the_keepers_own_period_reaches_the_day(mira, deneb):
    pairing = pair(mira, deneb, 5, separation_planned_on=ago(-9))
    season = season_of(mira, the_program(), asof=clock.today())
    assert season.period_over_on == ago(-9)
    assert [one.kind for one in season.actions] == ["separate_bred"]
    plan_separation(pairing, on=None)
    season = season_of(mira, the_program(), asof=clock.today())
    assert season.period_over_on is None
    assert season.actions == ()


def test_a_plan_before_the_beginning_or_years_ahead_is_refused(mira, deneb):
    with pytest.raises(ValidationError, match="is before they were introduced"):
        pair(mira, deneb, 5, separation_planned_on=ago(6))
    pairing = pair(mira, deneb, 5)
    with pytest.raises(ValidationError, match="more than 1096 days after they were introduced"):
        plan_separation(pairing, on=ago(-1200))
    part(pairing)
    with pytest.raises(ValidationError, match="have been apart since"):
        plan_separation(pairing, on=ago(-3))


def test_planned_and_actual_are_told_apart_in_words(mira, deneb):
    pairing = part(pair(mira, deneb, 20, separation_planned_on=ago(3)))
    found = separation_of(pairing, the_program())
    assert found.plan_words.startswith("3 days after the planned ")


def test_plan_page_takes_a_day_and_drops_it_again(as_keeper, mira, deneb):
    pairing = pair(mira, deneb, 5)
    page = reverse("pairings:plan", args=[pairing.pk])
    as_keeper.post(page, {"separation_planned_on": ago(-9).isoformat()})
    pairing.refresh_from_db()
    assert pairing.separation_planned_on == ago(-9)
    assert "(in 9 days)" in words(as_keeper.get(pairing.get_absolute_url()))
    answer = as_keeper.post(page, {"separation_planned_on": ago(6).isoformat()})
    assert "is before they were introduced" in words(answer)
    as_keeper.post(page, {"separation_planned_on": ""})
    pairing.refresh_from_db()
    assert pairing.separation_planned_on is None


# ----------------------------------------------------------------------------------- the page


def test_free_tanks_with_fit_water_are_proposed_first(mira, deneb):
    tank("Pool", mira, deneb)
    tank("Attic")
    tank("Bay", cast.female("Vega"))
    cove = tank("Cove")
    fit_water(cove, days=1)
    fit_water(tank("Dock"), days=1, ammonia="0.5")
    scene = scene_of(pair(mira, deneb, 20), clock.today(), the_program())
    assert [str(one) for one in scene.proposals] == ["Cove", "Attic", "Dock", "Bay"]
    first, attic, dock, bay = scene.proposals
    assert first.water.words.startswith("Fit: ammonia and nitrite not detectable")
    assert attic.water.fit is None
    assert dock.water.fit is False
    assert bay.company_words == "with Vega"
    assert str(scene.home) == "Pool"


def tanks_on(page):
    """The tanks to choose before the fold, and in it."""
    before, _, folded = page[page.index("<main") :].partition("<summary>")
    return [re.findall(r'name="tank" value="(\d+)"', part) for part in (before, folded)]


def test_page_folds_all_but_the_best_few_tanks_and_never_the_chosen_one(as_keeper, mira, deneb):
    """Seven tanks besides hers, by name: four are shown; the chosen sixth joins them."""
    tank("Pool", mira, deneb)
    places = [str(tank(f"Bay {number}").pk) for number in range(1, 8)]
    pairing = pair(mira, deneb, 20)
    page = words(as_keeper.get(address(pairing)))
    assert "<summary>3 more tanks</summary>" in page
    assert tanks_on(page) == [places[:4], places[4:]]
    page = words(as_keeper.post(address(pairing), typed(on="soon", tank=places[5])))
    assert tanks_on(page) == [[*places[:4], places[5]], [places[4], places[6]]]
    assert f'value="{places[5]}" checked' in page


def test_page_says_against_a_tank_for_whom_it_speaks(as_keeper, mira, deneb):
    """She is wounded, and a male is in the other tank: that is against her going there, not him."""
    tank("Pool", mira, deneb)
    tank("Bay", cast.male("Castor"))
    see(mira, "fresh_bite_marks", severity=3)
    page = words(as_keeper.get(address(pair(mira, deneb, 20))))
    assert '<span class="now if-F">' in page
    assert '<span class="now if-M">' not in page
    assert "<summary>1 tank, and something is against it</summary>" in page


def test_page_folds_no_single_tank(as_keeper, mira, deneb):
    for number in range(5):
        tank(f"Bay {number}")
    assert "more tanks" not in words(as_keeper.get(address(pair(mira, deneb, 20))))


def test_page_shows_the_proposals_and_moves_the_male(as_keeper, mira, deneb):
    tank("Pool", mira, deneb)
    bay = tank("Bay")
    fit_water(bay)
    pairing = pair(mira, deneb, 20, separation_planned_on=ago(2))
    page = words(as_keeper.get(address(pairing)))
    assert "both in Pool on record" in page
    assert "ammonia and nitrite not detectable" in page
    assert 'value="male" checked' in page
    assert "venomous, barbed spine" in page
    sent = typed(moved="male", tank=str(bay.pk))
    answer = words(as_keeper.post(address(pairing), sent, follow=True))
    assert "Mira and Deneb are apart." in answer
    assert "2 days after the planned" in answer
    assert "free on that day" in answer
    assert place(deneb) == "Bay"
    assert Stay.objects.get(animal=deneb, until=None).recorded_by.username == "sam"


def test_page_asks_who_was_moved_and_where_when_they_share_a_tank(as_keeper, mira, deneb):
    tank("Pool", mira, deneb)
    pairing = pair(mira, deneb, 20)
    assert "say who was moved, or how" in words(as_keeper.post(address(pairing), typed()))
    answer = as_keeper.post(address(pairing), typed(moved="male"))
    assert "Say where to" in words(answer)
    assert Pairing.objects.get().is_open


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"moved": "both"}, "“both” is not a way to separate them"),
        ({"moved": "male", "tank": "999999"}, "“999999” is not one of the tanks"),
        ({"moved": "male", "tank": "x:left"}, "“x:left” is not one of the tanks"),
        ({"moved": "male", "on": "2999-01-01", "tank": "none"}, "is still to come"),
        ({"moved": "male", "on": "", "tank": "none"}, "is empty; needed is a day"),
        ({"moved": "male", "tank": "none", "note": "x" * 201}, "at most 200 characters"),
    ],
)
def test_page_names_what_is_wrong_and_moves_nobody(as_keeper, mira, deneb, wrong, said):
    tank("Pool", mira, deneb)
    pairing = pair(mira, deneb, 20)
    assert said in words(as_keeper.post(address(pairing), typed(**wrong))).replace("&quot;", '"')
    assert Pairing.objects.get().is_open
    assert place(deneb) == "Pool"


def test_page_closes_the_divider_with_a_side_for_each(as_keeper, mira, deneb):
    vega = cast.female("Vega")
    tank("Pool", mira, deneb, vega, can_divide=True)
    pairing = pair(mira, deneb, 20)
    sides = {f"side_{mira.pk}": "left", f"side_{deneb.pk}": "right"}
    page = words(as_keeper.post(address(pairing), typed(moved="divider", **sides)))
    assert "On which side is Vega?" in page
    sides[f"side_{vega.pk}"] = "left"
    as_keeper.post(address(pairing), typed(moved="divider", **sides))
    assert place(vega) == "Pool, left side"
    assert Pairing.objects.get().moved == "divider"


def test_a_female_late_in_pregnancy_is_moved_only_when_asked_twice(as_keeper, mira, deneb):
    tank("Pool", mira, deneb, since=120)
    bay = tank("Bay")
    pairing = pair(mira, deneb, 101, 100)
    see(mira, days=100)
    record_scan(female=mira, on=ago(40), positive=True, today=clock.today(), by=None)
    pairing.separated_on = None
    pairing.save()
    sent = typed(moved="female", tank=str(bay.pk))
    page = words(as_keeper.post(address(pairing), sent))
    assert "Better not move her" in page
    assert "Mira is late in pregnancy: her window opens on" in page
    assert place(mira) == "Pool"
    as_keeper.post(address(pairing), sent | {"late_seen": "1"})
    assert place(mira) == "Bay"


def test_a_female_early_on_is_moved_without_asking(as_keeper, mira, deneb):
    tank("Pool", mira, deneb)
    bay = tank("Bay")
    pairing = pair(mira, deneb, 5)
    see(mira, days=3)
    assert late_words(season_of(mira, the_program(), asof=clock.today()), clock.today()) == ""
    as_keeper.post(address(pairing), typed(moved="female", tank=str(bay.pk)))
    assert place(mira) == "Bay"


def test_page_is_not_for_viewers(as_viewer, mira, deneb):
    pairing = pair(mira, deneb, 5)
    for name in ("separate", "plan"):
        page = reverse(f"pairings:{name}", args=[pairing.pk])
        assert as_viewer.get(page).status_code == as_viewer.post(page).status_code == 403


# ---------------------------------------------------------------------------- rest and pairing


def test_an_open_pairing_keeps_the_plan_typed_with_it(as_keeper, mira, deneb):
    sent = {"female": mira.pk, "male": deneb.pk, "introduced_on": clock.today().isoformat()}
    looked = {"looked_at": f"{mira.pk}-{deneb.pk}", "save": "1"}
    as_keeper.post(
        reverse("pairings:new"), sent | looked | {"separation_planned_on": ago(-14).isoformat()}
    )
    assert Pairing.objects.get().separation_planned_on == ago(-14)


def test_the_same_facts_without_a_plan_open_a_pairing_as_before(mira, deneb):
    pairing = open_pairing(
        female=mira,
        male=deneb,
        introduced_on=ago(1),
        program=the_program(),
        by=None,
        today=clock.today(),
    )
    assert pairing.separation_planned_on is None
    assert separation_of(pairing, the_program()) is None


def test_of_many_tanks_the_emptiest_are_looked_into_and_the_others_one_tap_away(
    as_keeper, mira, deneb, monkeypatch
):
    """Three tanks besides theirs, of which two are looked into: the one with two in it is not."""
    monkeypatch.setattr("breeding.pairings.care.places.MOST_JUDGED", 2)
    tank("Pool", mira, deneb)
    full = tank("Attic", cast.female("Alya"), cast.female("Izar"))
    tank("Bay", cast.female("Vega"))
    tank("Cove")
    pairing = pair(mira, deneb, 20)
    scene = scene_of(pairing, clock.today(), the_program())
    assert [(str(one), one.company_words) for one in scene.proposals] == [
        ("Cove", "free"),
        ("Bay", "with Vega"),
        ("Attic", "with 2 animals"),
    ]
    page = words(as_keeper.get(address(pairing)))
    assert '<a href="?every=1#id_tank">1 tank with more animals in it</a>' in page
    assert f'name="tank" value="{full.pk}"' not in page
    page = words(as_keeper.get(address(pairing) + "?every=1"))
    assert f'name="tank" value="{full.pk}"' in page
    as_keeper.post(address(pairing), typed(moved="male", tank=str(full.pk)), follow=True)
    assert place(deneb) == "Attic"
