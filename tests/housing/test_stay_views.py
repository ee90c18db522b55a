"""The pages of dividers, whole tanks, old news and corrections, as a keeper gets them."""

import datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.housing.models import Stay, Tank
from breeding.housing.services import close_divider, move_animal
from breeding.housing.water.services import record_water_test
from breeding.program import clock
from breeding.program.models import Act
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db


def put(animal, tank, days_ago=0, side=""):
    return move_animal(animal, tank, on=ago(days_ago), by=None, side=side)


def stays(animal):
    found = Stay.objects.filter(animal=animal).order_by("since", "pk")
    return [(one.place, one.since, one.until) for one in found]


@pytest.fixture
def pool(owner):
    return Tank.objects.create(name="Pool", can_divide=True)


@pytest.fixture
def bay(owner):
    return Tank.objects.create(name="Bay")


# ------------------------------------------------------------------------------------- move


def test_move_offers_the_sides_of_a_closed_divider(as_keeper, pool, bay):
    mira, deneb = cast.female(), cast.male()
    put(mira, pool, 3)
    put(deneb, bay, 3)
    url = reverse("housing:move", args=[deneb.pk])
    assert "left side" not in words(as_keeper.get(url))
    close_divider(pool, left=[mira], right=[], on=ago(1), by=None)
    page = words(as_keeper.get(url))
    assert "<b>Pool, left side</b> <span> breeding: Mira" in page
    assert "<b>Pool, right side</b> <span> breeding: empty" in page
    assert f'value="{pool.pk}"' not in page
    answer = as_keeper.post(
        url, {"tank": f"{pool.pk}:right", "on": f"{clock.today()}"}, follow=True
    )
    assert "Deneb is in Pool, right side now." in words(answer)
    assert "alone" in words(answer)


def test_move_says_which_water_is_not_fit(as_keeper, pool, bay):
    tested_at = datetime.datetime.combine(ago(1), datetime.time(10), tzinfo=datetime.UTC)
    record_water_test(
        bay, tested_at=tested_at, now=clock.now(), by=None,
        nitrite_mg_l=Decimal("0.1"), nitrite_as="ion",
    )  # fmt: skip
    mira = cast.female()
    put(mira, pool, 3)
    unfit = (
        '<b>Bay</b> <span> breeding: empty </span> <span><span class="now">Water not fit</span>: '
        "nitrite 0.1 mg/L NO2 (none may be detectable); tested yesterday.</span>"
    )
    for url in (
        reverse("housing:move", args=[mira.pk]),
        reverse("housing:move_all", args=[pool.pk]),
    ):
        assert unfit in words(as_keeper.get(url))
    page = words(as_keeper.get(reverse("housing:move", args=[cast.male().pk])))
    assert page.count("Water not fit") == 1


def test_move_asks_before_it_takes_a_day_for_old_news(as_keeper, pool, bay):
    mira = cast.female()
    put(mira, pool, 4)
    url = reverse("housing:move", args=[mira.pk])
    late = {"tank": f"{bay.pk}", "on": f"{ago(9)}"}
    asked = words(as_keeper.post(url, late))
    assert "Mira came to Pool on" in asked
    assert 'name="old_news"' in asked
    assert len(stays(mira)) == 1
    written = words(as_keeper.post(url, late | {"old_news": "on"}, follow=True))
    assert "Written: Mira was in Bay from" in written
    assert stays(mira) == [("Bay", ago(9), ago(4)), ("Pool", ago(4), None)]


def test_move_carries_its_cautions(as_keeper, pool):
    mira = cast.female()
    put(mira, pool)
    page = words(as_keeper.get(reverse("housing:move", args=[mira.pk])))
    assert "venomous, barbed spine" in page
    assert reverse("program:care") in page
    assert "move the male or close the divider instead" in page
    assert reverse("housing:close_divider", args=[pool.pk]) in page


# --------------------------------------------------------------------------------- move_all


def test_move_all_moves_everybody_with_one_tap(as_keeper, pool, bay):
    mira, deneb = cast.female(), cast.male()
    put(mira, pool, 3)
    put(deneb, pool, 3)
    url = reverse("housing:move_all", args=[pool.pk])
    page = words(as_keeper.get(url))
    assert "out of Pool: Deneb, Mira" in page
    assert "late in pregnancy" in page
    answer = as_keeper.post(url, {"tank": bay.pk, "on": f"{clock.today()}"}, follow=True)
    assert "Everybody of Pool is in Bay now." in words(answer)
    assert stays(mira)[1] == ("Bay", clock.today(), None)
    again = words(as_keeper.post(url, {"tank": bay.pk, "on": f"{clock.today()}"}))
    assert "Nobody is in Pool on" in again


def test_all_of_a_full_tank_are_moved_and_moved_back_in_as_few_queries(as_keeper, pool, bay):
    def asked(url, sent):
        with CaptureQueriesContext(connection) as found:
            assert as_keeper.post(url, sent).status_code == 302
        return len(found)

    def both(number):
        for n in range(number):
            put(cast.ray(f"Ray {number}-{n}", "U"), pool, 3)
        there = reverse("housing:move_all", args=[pool.pk])
        moved = asked(there, {"tank": bay.pk, "on": f"{clock.today()}"})
        undone = asked(reverse("program:undo", args=[Act.objects.latest("pk").pk]), {})
        return moved, undone

    both(2)
    few = both(2)
    assert both(9) == few


# ---------------------------------------------------------------------------------- dividers


def test_close_divider_asks_for_the_side_of_each(as_keeper, keeper, pool):
    mira, deneb = cast.female(), cast.male()
    put(mira, pool, 3)
    put(deneb, pool, 3)
    url = reverse("housing:close_divider", args=[pool.pk])
    assert words(as_keeper.get(url)).count('value="left"') == 2
    half = {f"side_{mira.pk}": "left", "on": f"{clock.today()}"}
    page = words(as_keeper.post(url, half))
    assert "On which side is Deneb?" in page
    assert 'value="left" checked' in page
    answer = as_keeper.post(url, half | {f"side_{deneb.pk}": "right"}, follow=True)
    assert "The divider of Pool is closed." in words(answer)
    assert "no company for each other" in words(answer)
    assert stays(mira)[1][0] == "Pool, left side"
    assert Stay.objects.get(animal=deneb, until=None).recorded_by == keeper


def test_close_divider_says_what_it_needs(as_keeper, pool, bay):
    def page(tank):
        return words(as_keeper.get(reverse("housing:close_divider", args=[tank.pk])))

    assert "Bay has no divider on record" in page(bay)
    assert "Nobody is in Pool now" in page(pool)
    put(cast.female(), pool, 1, side="left")
    assert "It is closed already" in page(pool)


def test_open_divider_warns_of_company(as_keeper, pool):
    mira, deneb = cast.female(), cast.male()
    put(mira, pool, 3, side="left")
    put(deneb, pool, 3, side="right")
    url = reverse("housing:open_divider", args=[pool.pk])
    assert "a mating is possible" in words(as_keeper.get(url))
    answer = as_keeper.post(url, {"on": f"{clock.today()}"}, follow=True)
    assert "The divider of Pool is open" in words(answer)
    assert stays(mira)[1] == ("Pool", clock.today(), None)


def test_edit_keeps_a_divider_that_is_closed(as_keeper, pool):
    put(cast.female(), pool, 1, side="left")
    url = reverse("housing:edit", args=[pool.pk])
    page = words(as_keeper.post(url, {"name": "Pool", "kind": "breeding"}))
    assert "Its divider is closed; open it first." in page


# -------------------------------------------------------------------------- stays and old news


def test_stays_shows_what_counts_and_what_was_corrected(as_viewer, as_keeper, pool, bay):
    mira = cast.female()
    put(mira, pool, 30)
    old = put(mira, bay, 10)
    as_keeper.post(
        reverse("housing:correct", args=[old.pk]),
        {
            "place": f"{bay.pk}",
            "since": f"{ago(12)}",
            "until": "",
            "neighbours_follow": "on",
            "reason": "the log book says so",
        },
    )
    assert stays(mira) == [("Pool", ago(30), ago(12)), ("Bay", ago(12), None)]
    counts, kept = words(as_viewer.get(reverse("housing:stays", args=[mira.pk]))).split(
        "Corrected and withdrawn"
    )
    assert counts.count("<li>") >= 2
    assert "the log book says so (Sam," in kept
    assert "follows a correction: the log book says so" in kept
    assert "Correct</a>" not in counts


def test_stays_asks_as_often_with_ten_more_of_them(as_keeper, pool, bay):
    mira = cast.female()
    url = reverse("housing:stays", args=[mira.pk])
    put(mira, pool, 50)
    with CaptureQueriesContext(connection) as few:
        as_keeper.get(url)
    for days in range(40, 20, -2):
        put(mira, bay if stays(mira)[-1][0] == "Pool" else pool, days)
    with CaptureQueriesContext(connection) as many:
        as_keeper.get(url)
    assert len(many) == len(few) < 20


def test_earlier_splits_the_stay_it_lies_in(as_keeper, pool, bay):
    mira = cast.female()
    put(mira, pool, 60)
    url = reverse("housing:earlier", args=[mira.pk])
    assert "On record" in words(as_keeper.get(url))
    typed = {"place": f"{bay.pk}", "since": f"{ago(40)}", "until": f"{ago(30)}"}
    answer = as_keeper.post(url, typed, follow=True)
    assert "Written: Mira was in Bay then." in words(answer)
    assert stays(mira) == [
        ("Pool", ago(60), ago(40)),
        ("Bay", ago(40), ago(30)),
        ("Pool", ago(30), None),
    ]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"since": "2100-01-01"}, "1 January 2100 is still to come"),
        ({"since": "0001-01-01"}, "The year 1 is too early; from 1950 on."),
        ({"until": ""}, "is empty; needed is a day, written like 2026-03-31."),
        ({"place": "77"}, "“77” is not possible for"),
        ({"since": "2026-01-09", "until": "2026-01-03"}, "3 January 2026 is before 9 January"),
    ],
)
def test_earlier_names_what_is_wrong(as_keeper, pool, bay, typed, said):
    mira = cast.female()
    put(mira, pool, 60)
    whole = {"place": f"{bay.pk}", "since": f"{ago(40)}", "until": f"{ago(30)}"}
    page = as_keeper.post(reverse("housing:earlier", args=[mira.pk]), whole | typed)
    assert said in words(page)
    assert len(stays(mira)) == 1


def test_correct_names_what_is_in_the_way(as_keeper, pool, bay):
    mira = cast.female()
    first = put(mira, pool, 30)
    put(mira, bay, 10)
    url = reverse("housing:correct", args=[first.pk])
    assert f'value="{ago(30)}"' in words(as_keeper.get(url))
    typed = {"place": f"{pool.pk}", "since": f"{ago(30)}", "until": "", "reason": "so"}
    assert "In the way: Mira is on record in Bay from" in words(as_keeper.post(url, typed))


def test_withdraw_stay_offers_that_it_stayed_where_it_was(as_keeper, pool, bay):
    mira = cast.female()
    put(mira, pool, 30)
    wrong = put(mira, bay, 10)
    url = reverse("program:withdraw", args=["stay", wrong.pk])
    assert "It stayed in Pool instead" in words(as_keeper.get(url))
    assert "is empty; needed is" in words(as_keeper.post(url, {"back_to_previous": "on"}))
    as_keeper.post(url, {"reason": "that was Vega", "back_to_previous": "on"})
    assert stays(mira) == [("Pool", ago(30), None)]
    assert "that was Vega" in words(as_keeper.get(url))
    assert "withdrawn or corrected already" in words(as_keeper.post(url, {"reason": "again"}))


# ---------------------------------------------------------------------------- who may do what


def test_a_viewer_sees_stays_and_changes_none(as_viewer, pool):
    mira = cast.female()
    stay = put(mira, pool, 3)
    assert as_viewer.get(reverse("housing:stays", args=[mira.pk])).status_code == 200
    for name, pk in [
        ("move_all", pool.pk),
        ("close_divider", pool.pk),
        ("open_divider", pool.pk),
        ("earlier", mira.pk),
        ("correct", stay.pk),
    ]:
        url = reverse(f"housing:{name}", args=[pk])
        assert as_viewer.get(url).status_code == 403, name
        assert as_viewer.post(url, {}).status_code == 403, name


def test_a_stranger_sees_no_stays(stranger, pool):
    stay = put(cast.female(), pool, 3)
    for name in ("stays", "earlier", "correct", "move_all", "close_divider"):
        answer = stranger.get(reverse(f"housing:{name}", args=[stay.pk]))
        assert answer.status_code == 302, name
        assert answer.url.startswith(reverse("program:sign_in"))
