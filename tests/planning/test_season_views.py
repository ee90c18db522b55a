"""The plan for a season on its page; the small families' F by own arithmetic."""

import datetime

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.html import escape

from breeding.agenda.lines.line import when_words
from breeding.agenda.queries import all_ahead, the_day
from breeding.housing.models import Tank
from breeding.pairings.services import open_pairing
from breeding.planning.models import PlannedPairing
from breeding.planning.queries import waiting
from breeding.planning.season.wishes import WEIGHTS
from breeding.planning.services import plan_pairing
from breeding.program import clock
from tests import cast

SEASON = reverse("planning:season")


@pytest.fixture
def two_families(as_keeper):
    """Two litters of two unrelated pairs; within a family F is 1/4, across it is 0."""
    born = {"pure": "motoro", "born_on": cast.day("2015-05-01")}
    found = {}
    for family in ("A", "B"):
        sire = cast.male(f"Sire {family}", **born, state="left", state_on=cast.day("2022-01-01"))
        dam = cast.female(f"Dam {family}", **born, state="left", state_on=cast.day("2022-01-01"))
        young = {"sire": sire, "dam": dam, "born_on": cast.day("2020-05-01")}
        found[family] = (
            cast.female(f"Daughter {family}", **young),
            cast.male(f"Son {family}", **young),
        )
    return found


def test_season_pairs_across_the_families_and_says_it_is_proven(as_keeper, two_families):
    answer = as_keeper.get(SEASON)
    plan = answer.context["plan"]
    pairs = {(row.female.animal.name, row.male.animal.name) for row in plan.rows}
    assert pairs == {("Daughter A", "Son B"), ("Daughter B", "Son A")}
    assert plan.mean == 0
    words = " ".join(answer.content.decode().split())
    assert "of just the animals in this plan no other way to pair them has a lower F" in words
    assert "that is not proven to be the best" in words
    everyone = answer.context["form"].data
    only_f = as_keeper.get(SEASON, {k: v for k, v in everyone.items() if v} | {"diversity": "0.0"})
    assert "that is proven, not guessed" in only_f.content.decode()


def test_season_heeds_a_pair_ruled_out_before_any_other_wish_was_typed(as_keeper, two_families):
    """The links of the first page carry the pair alone; the usual wishes stand for the rest."""
    daughter, son = two_families["A"][0], two_families["B"][1]
    link = f"must_not={daughter.pk}-{son.pk}"
    assert link in as_keeper.get(SEASON).content.decode()
    answer = as_keeper.get(f"{SEASON}?&{link}")
    pairs = {(row.female.animal.name, row.male.animal.name) for row in answer.context["plan"].rows}
    assert pairs == {("Daughter B", "Son A")}  # with her own brother F would be 25 %, over 12.5 %
    assert "0 kept, 1 ruled out" in answer.content.decode()
    kept = as_keeper.get(f"{SEASON}?&must={daughter.pk}-{son.pk}").context["plan"]
    assert [row.is_must for row in kept.rows if row.female.animal == daughter] == [True]
    assert as_keeper.get(SEASON, {"litters": "1"}).context["plan"].rows[1:] == ()


def test_season_names_the_wishes_that_collide(as_keeper, two_families):
    (daughter, son), _ = two_families.values()
    answer = as_keeper.get(
        SEASON,
        {"female": daughter.pk, "male": son.pk, "per_female": 1, "most": "10", "diversity": "0.0"},
    )
    words = answer.content.decode()
    assert "These wishes cannot all be met." in words
    assert "you ask for F of at most 10 %. The lowest F of any pair is 25 %." in words
    assert "Loosen one of them, and there is a plan: F up to 25 %." in " ".join(words.split())
    assert [one.wishes for one in answer.context["collide"].collisions] == [("most",)]


def test_season_refuses_what_is_no_number_and_keeps_it(as_keeper, two_families):
    answer = as_keeper.get(SEASON, {"per_female": "many", "diversity": "0.0", "must": "x"})
    assert answer.status_code == 200
    assert set(answer.context["form"].errors) >= {"per_female", "must"}
    assert 'value="many"' in answer.content.decode()


def test_season_keeps_pure_species_pure_unless_told_otherwise(as_keeper):
    born = cast.day("2015-05-01")
    cast.female("Vega", pure="motoro", born_on=born)
    cast.male("Deneb", pure="leopoldi", born_on=born)
    words = as_keeper.get(SEASON).content.decode()
    assert "Nobody can be paired: you ask for pure species kept pure." in words
    assert "new hybrids allowed" in words
    asked = as_keeper.get(SEASON).context["form"]
    everyone = {name: [key for key, _ in asked.fields[name].choices] for name in ("female", "male")}
    found = as_keeper.get(SEASON, everyone | {"per_female": 1, "diversity": "0.0"})
    assert len(found.context["plan"].rows) == 1


def test_accept_writes_the_rows_down_and_they_wait(as_keeper, two_families):
    (daughter, _), (_, son) = two_families.values()
    answer = as_keeper.post(
        reverse("planning:accept"), {"pair": f"{daughter.pk}-{son.pk}"}, follow=True
    )
    assert "Planned: Daughter A and Son B." in answer.content.decode()
    (planned,) = waiting()
    assert (planned.female, planned.male) == (daughter, son)
    assert planned.not_before == clock.today()
    again = as_keeper.post(
        reverse("planning:accept"), {"pair": f"{daughter.pk}-{son.pk}"}, follow=True
    )
    assert "Daughter A and Son B are planned already" in again.content.decode()


@pytest.mark.parametrize("key", ["9" * 5000 + "-1", "1-" + "9" * 30])
def test_a_pair_of_endless_numbers_is_nobody(as_keeper, two_families, key):
    assert as_keeper.get(SEASON, {"must": key}).status_code == 200
    assert as_keeper.post(reverse("planning:accept"), {"pair": key}).status_code in (302, 404)
    assert not PlannedPairing.objects.exists()


def test_accept_asks_no_more_for_more_rows(as_keeper, two_families):
    """Each row writes its own plan; what is read of the females is read once for all."""
    (a, b), (c, d) = two_families.values()
    counts = []
    for pairs in ([f"{a.pk}-{d.pk}"], [f"{a.pk}-{b.pk}", f"{c.pk}-{d.pk}", f"{c.pk}-{b.pk}"]):
        with CaptureQueriesContext(connection) as asked:
            as_keeper.post(reverse("planning:accept"), {"pair": pairs})
        counts.append(sum("pairings_sighting" in one["sql"] for one in asked))
    assert PlannedPairing.objects.count() == 4
    assert counts[0] == counts[1] > 0


def test_accept_of_nothing_says_so(as_keeper, two_families):
    answer = as_keeper.post(reverse("planning:accept"), {"pair": "nonsense"}, follow=True)
    assert "No pair was chosen" in answer.content.decode()


def test_waiting_ends_when_the_two_are_put_together(as_keeper, two_families, keeper):
    (daughter, _), (_, son) = two_families.values()
    today = clock.today()
    plan_pairing(female=daughter, male=son, not_before=today, by=keeper, today=today)
    assert len(waiting()) == 1
    open_pairing(
        female=daughter,
        male=son,
        introduced_on=today,
        program=cast.the_program(),
        by=keeper,
        today=today,
    )
    assert len(waiting()) == 0
    assert "No pairing is planned." in as_keeper.get(reverse("planning:waiting")).content.decode()


def test_two_that_were_put_together_can_be_planned_for_next_year_on_the_same_day(
    two_families, keeper
):
    (daughter, _), (_, son) = two_families.values()
    today = clock.today()
    open_pairing(
        female=daughter,
        male=son,
        introduced_on=today,
        program=cast.the_program(),
        by=keeper,
        today=today,
    )
    next_year = today + datetime.timedelta(days=365)
    one = plan_pairing(female=daughter, male=son, not_before=next_year, by=keeper, today=today)
    assert list(waiting()) == [one]


def test_the_same_plan_again_after_it_was_fulfilled_asks_for_another_day(two_families, keeper):
    (daughter, _), (_, son) = two_families.values()
    today = clock.today()
    plan_pairing(female=daughter, male=son, not_before=today, by=keeper, today=today)
    open_pairing(
        female=daughter,
        male=son,
        introduced_on=today,
        program=cast.the_program(),
        by=keeper,
        today=today,
    )
    with pytest.raises(ValidationError, match="already; choose another day"):
        plan_pairing(female=daughter, male=son, not_before=today, by=keeper, today=today)


def test_drop_keeps_the_reason(as_keeper, two_families, keeper):
    (daughter, _), (_, son) = two_families.values()
    today = clock.today()
    one = plan_pairing(female=daughter, male=son, not_before=today, by=keeper, today=today)
    as_keeper.post(
        reverse("program:withdraw", args=["planned-pairing", one.pk]), {"reason": "He is sold."}
    )
    kept = PlannedPairing.objects.get()
    assert kept.withdrawn_reason == "He is sold."
    assert len(waiting()) == 0


def test_drop_is_nothing_for_a_viewer(as_viewer, two_families, keeper):
    (daughter, _), (_, son) = two_families.values()
    today = clock.today()
    one = plan_pairing(female=daughter, male=son, not_before=today, by=keeper, today=today)
    answer = as_viewer.post(
        reverse("program:withdraw", args=["planned-pairing", one.pk]), {"reason": "No."}
    )
    assert answer.status_code == 403
    assert len(waiting()) == 1


def test_a_day_that_has_passed_is_refused(two_families, keeper):
    (daughter, _), (_, son) = two_families.values()
    today = datetime.date(2026, 11, 25)
    with pytest.raises(ValidationError, match="24 November 2026 has passed"):
        plan_pairing(
            female=daughter,
            male=son,
            not_before=today - datetime.timedelta(days=1),
            by=keeper,
            today=today,
        )


def test_a_planned_pairing_comes_onto_the_day_when_its_day_is_near(two_families, keeper):
    (daughter, _), (_, son) = two_families.values()
    today = datetime.date(2026, 11, 25)
    near, far = today + datetime.timedelta(days=10), today + datetime.timedelta(days=100)
    for male, on in ((son, near), (two_families["A"][1], far)):
        plan_pairing(female=daughter, male=male, not_before=on, by=keeper, today=today)
    program = cast.the_program()
    lines = [line for line in the_day(program, today=today).lines if line.kind.key == "planned"]
    assert [line.what for line in lines] == ["put together with Son B"]
    assert when_words(lines[0], today) == "from Sat 5 Dec"
    ahead = [line.on for line in all_ahead(program, today=today) if line.kind.key == "planned"]
    assert ahead == [near, far]


def test_season_plans_no_more_pairings_than_free_tanks_when_asked(as_keeper, two_families):
    Tank.objects.create(name="North")
    everyone = as_keeper.get(SEASON).context["form"].data
    asked = {name: value for name, value in everyone.items() if value}
    assert len(as_keeper.get(SEASON, asked).context["plan"].rows) == 1  # a litter needs a tank
    del asked["bearable_only"]
    assert len(as_keeper.get(SEASON, asked).context["plan"].rows) == 2
    answer = as_keeper.get(SEASON, asked | {"free_tanks_only": "on"})
    assert "Free today: North." in answer.content.decode()
    assert len(answer.context["plan"].rows) == 1


def test_season_with_no_free_tank_says_so_and_proves_nothing(as_keeper, two_families):
    page = as_keeper.get(SEASON, {"free_tanks_only": "on"}).content.decode()
    assert "With these wishes no pair is left: no tank is free today." in page
    assert "proven" not in page
    assert "Write down the pairings ticked" not in page


def test_season_slider_says_its_position_and_all_five_in_words(as_keeper, two_families):
    words = as_keeper.get(SEASON).content.decode()
    assert (
        '<input type="range" name="diversity" min="0.0" max="1.0" step="0.25" value="0.5"' in words
    )
    assert "Shown now: <b>both alike</b>." in words
    assert words.count('<li class="on">both alike</li>') == 1
    for _, said in WEIGHTS:
        assert f'label="{escape(said)}"' in words
        assert f">{escape(said)}</li>" in words


@pytest.mark.parametrize(
    ("sent", "weight", "said"),
    [
        ("0.0", 0.0, "only low F in the young"),  # as older addresses hold it
        ("0", 0.0, "only low F in the young"),  # as a slider sends it
        ("0.25", 0.25, "mostly low F"),
        ("1.0", 1.0, "only the program&#x27;s diversity"),
        ("1", 1.0, "only the program&#x27;s diversity"),
    ],
)
def test_season_takes_a_position_as_old_and_new_addresses_write_it(
    as_keeper, two_families, sent, weight, said
):
    answer = as_keeper.get(SEASON, {"diversity": sent})
    assert answer.context["form"].cleaned_data["diversity"] == weight
    assert f"Shown now: <b>{said}</b>." in answer.content.decode()


@pytest.mark.parametrize("sent", ["0.3", "nan", "inf", "much", "9" * 400])
def test_season_refuses_a_position_that_the_slider_has_not(as_keeper, two_families, sent):
    answer = as_keeper.get(SEASON, {"diversity": sent})
    assert answer.context["form"].errors.keys() == {"diversity"}
    assert "This is no position of the slider." in answer.content.decode()
