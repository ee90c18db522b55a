"""The pages of the tanks, as a keeper, a viewer and a stranger get them."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.services import change_state
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.program import clock
from breeding.words.days import short_day
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
ODD = "<b>#\"$_@\\'&amp;"
INDEX = reverse("housing:index")
NEW = reverse("housing:new")


@pytest.fixture
def pool(owner):
    return Tank.objects.create(
        name="Boathouse pool", length_mm=2400, width_mm=1200, height_mm=600, volume_litres=1500
    )


def move_url(animal):
    return reverse("housing:move", args=[animal.pk])


def put(animal, tank, days_ago=0):
    on = clock.today() - datetime.timedelta(days=days_ago)
    return move_animal(animal, tank, on=on, by=None)


# ------------------------------------------------------------------------------------- index


def test_index_says_what_to_do_first(as_keeper, as_viewer):
    assert "No tank is written down yet" in words(as_keeper.get(INDEX))
    assert NEW in words(as_keeper.get(INDEX))
    assert NEW not in words(as_viewer.get(INDEX))


def test_index_shows_who_is_in_each_tank_since_when(as_viewer, pool):
    put(cast.female(), pool, days_ago=3)
    cast.male("Altair")
    cast.male("Rigel", state="on_loan")  # has no tank to be in
    page = words(as_viewer.get(INDEX))
    assert "240 × 120 × 60 cm, 1,500 litres" in page
    assert 'Mira</a> <span class="soft">female, since' in page
    three_days_ago = clock.today() - datetime.timedelta(days=3)
    assert f"since {short_day(three_days_ago, clock.today())}</span>" in page
    assert "1 animal on record here" in page
    assert "Altair (002)" in page
    assert "Rigel" not in page
    assert "Move in" not in page


def test_index_writes_sizes_in_the_units_of_the_program(as_keeper, pool):
    cast.the_program(length_unit="in", volume_unit="gal")
    assert "94.5 × 47.2 × 23.6 in, 396 US gallons" in words(as_keeper.get(INDEX))


def test_index_asks_as_often_with_ten_more_tanks_and_animals(as_keeper, pool):
    put(cast.female(), pool)
    with CaptureQueriesContext(
        connection,
    ) as few:
        as_keeper.get(INDEX)
    for n in range(10):
        put(cast.ray(f"Star {n}"), Tank.objects.create(name=f"Tank {n}"))
        cast.ray(f"Elsewhere {n}")
    with CaptureQueriesContext(connection) as many:
        as_keeper.get(INDEX)
    assert len(many) == len(few) < 20


# ------------------------------------------------------------------------------------ detail


def test_detail_says_who_is_here_and_who_was(as_viewer, pool):
    mira, deneb, vega = cast.female(), cast.male(), cast.female("Vega")
    put(mira, pool, 30)
    put(deneb, pool, 20)
    put(vega, pool, 20)
    put(deneb, None, 5)
    change_state(vega, state="died", on=clock.today() - datetime.timedelta(days=2))
    here, was = words(as_viewer.get(pool.get_absolute_url())).split("Was here")
    assert "Mira" in here
    assert "Deneb" not in here
    assert "Deneb" in was
    assert ", when it died" in was


def test_detail_asks_as_often_with_ten_more_stays(as_keeper, pool):
    put(cast.female(), pool)
    as_keeper.get(pool.get_absolute_url())  # so is it here, in a process that began just now
    with CaptureQueriesContext(connection) as few:
        as_keeper.get(pool.get_absolute_url())
    for n in range(10):
        put(cast.ray(f"Star {n}"), pool)
    as_keeper.get(pool.get_absolute_url())  # who descends from whom is read once after it changed
    with CaptureQueriesContext(connection) as many:
        as_keeper.get(pool.get_absolute_url())
    assert len(many) == len(few) < 26


# ------------------------------------------------------------------------------- new and edit


def test_new_keeps_sizes_in_millimetres_and_litres(as_keeper):
    cast.the_program(length_unit="in", volume_unit="gal")
    answer = as_keeper.post(
        NEW,
        {
            "name": ODD,
            "kind": "breeding",
            "length_mm": "96",
            "width_mm": "48",
            "height_mm": "24",
            "volume_litres": "400",
        },
        follow=True,
    )
    tank = Tank.objects.get()
    assert (tank.name, tank.length_mm, tank.width_mm, tank.height_mm) == (ODD, 2438, 1219, 610)
    assert tank.volume_litres == 1514  # 400 gallons of 3.785411784 litres
    assert "&lt;b&gt;#&quot;$_@\\&#x27;&amp;amp;" in words(answer)
    assert "<b>#" not in words(answer)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"name": "boathouse POOL"}, "There is a tank called “boathouse POOL” already"),
        ({"name": ""}, "“Name” is empty"),
        ({"length_mm": "4"}, "4 cm is not possible here; allowed is 10 to 3000 cm"),
        ({"volume_litres": "0"}, "0 litres is not possible here; allowed is 1 to 1,000,000"),
        ({"volume_litres": "five"}, "“five” is not possible for"),
        ({"kind": "sea"}, "“sea” is not possible for “Kind”; allowed is one of"),
        (
            {"length_mm": "100", "width_mm": "50", "height_mm": "50", "volume_litres": "300"},
            "its sides hold 250 litres to the brim",
        ),
    ],
)
def test_new_names_what_is_wrong_and_keeps_what_was_typed(as_keeper, pool, typed, said):
    answer = as_keeper.post(
        NEW, {"name": "Second", "kind": "other", "note": "by the door", **typed}
    )
    assert said in words(answer)
    assert "by the door" in words(answer)
    assert Tank.objects.count() == 1


def test_edit_shows_what_is_there_and_changes_it(as_keeper, pool):
    url = reverse("housing:edit", args=[pool.pk])
    page = words(as_keeper.get(url))
    assert 'value="240.0"' in page
    assert 'value="1500"' in page
    as_keeper.post(url, {"name": "Pool", "kind": "nursery", "length_mm": "200"})
    pool.refresh_from_db()
    assert (pool.name, pool.kind, pool.length_mm) == ("Pool", "nursery", 2000)
    assert pool.width_mm is None


# -------------------------------------------------------------------------------------- move


def test_move_is_one_choice_with_today_filled_in(as_keeper, keeper, pool):
    mira = cast.female()
    page = words(as_keeper.get(move_url(mira)))
    assert f'value="{clock.today():%Y-%m-%d}"' in page
    assert "move the male or close the divider instead" in page
    answer = as_keeper.post(
        move_url(mira), {"tank": pool.pk, "on": f"{clock.today()}"}, follow=True
    )
    assert "Mira is in Boathouse pool now." in words(answer)
    stay = Stay.objects.get()
    assert (stay.animal, stay.since, stay.recorded_by) == (mira, clock.today(), keeper)


def test_move_without_a_choice_moves_nobody(as_keeper, pool):
    mira = cast.female()
    put(mira, pool)
    answer = as_keeper.post(move_url(mira), {"on": f"{clock.today()}"})
    assert "Choose a tank, or “no tank”." in words(answer)
    assert Stay.objects.get().until is None


def test_move_to_no_tank_when_it_has_left(as_keeper, pool):
    mira = cast.female()
    put(mira, pool, 4)
    page = words(as_keeper.get(move_url(mira)))
    assert "it has left Boathouse pool" in page
    as_keeper.post(move_url(mira), {"tank": "none", "on": f"{clock.today()}"})
    assert Stay.objects.get().until == clock.today()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"on": "2100-01-01"}, "1 January 2100 is still to come"),
        ({"on": "soon"}, "“soon” is not possible for “Moved on”; allowed is a day"),
        ({"on": "2001-01-01"}, "Mira came to Boathouse pool on"),
        ({"tank": "99999"}, "“99999” is not possible for"),
        ({"tank": "<script>"}, "“&lt;script&gt;” is not possible for"),
    ],
)
def test_move_names_what_is_wrong(as_keeper, pool, typed, said):
    mira = cast.female()
    put(mira, pool, 4)
    second = Tank.objects.create(name="Second")
    typed = {"tank": second.pk, "on": f"{clock.today()}", **typed}
    assert said in words(as_keeper.post(move_url(mira), typed))
    assert Stay.objects.get().tank == pool


def test_move_before_there_is_a_tank_says_so(as_keeper):
    assert "Write down the first tank" in words(as_keeper.get(move_url(cast.female())))


def test_move_of_nobody_is_not_found(as_keeper, pool):
    assert as_keeper.get(reverse("housing:move", args=[987654])).status_code == 404


def test_an_animals_page_says_where_it_is_with_whom(as_keeper, pool):
    mira, deneb = cast.female(), cast.male()
    put(mira, pool, 2)
    put(deneb, pool, 1)
    page = words(as_keeper.get(mira.get_absolute_url()))
    assert "Boathouse pool</a> since" in page
    assert f'with <a href="{deneb.get_absolute_url()}">Deneb</a>' in page


def test_odd_names_stay_words_on_every_page(as_keeper, owner):
    tank = Tank.objects.create(name=ODD, note=ODD)
    mira = cast.female(ODD)
    put(mira, tank)
    for url in (
        INDEX,
        tank.get_absolute_url(),
        reverse("housing:edit", args=[tank.pk]),
        move_url(mira),
        mira.get_absolute_url(),
    ):
        page = as_keeper.get(url).content.decode()
        assert "&lt;b&gt;#" in page, url
        assert "<b>#" not in page, url


# ---------------------------------------------------------------------------- who may do what


def every_address(tank, animal):
    return [
        INDEX,
        NEW,
        tank.get_absolute_url(),
        reverse("housing:edit", args=[tank.pk]),
        move_url(animal),
    ]


def test_a_stranger_sees_nothing(stranger, pool):
    for url in every_address(pool, cast.female()):
        for answer in (stranger.get(url), stranger.post(url, {"name": "Mine"})):
            assert answer.status_code == 302, url
            assert answer.url.startswith(reverse("program:sign_in")), url
    assert Tank.objects.count() == 1


def test_a_viewer_reads_and_writes_nothing(as_viewer, pool):
    mira = cast.female()
    index, new, detail, edit, move = every_address(pool, mira)
    assert [as_viewer.get(url).status_code for url in (index, detail)] == [200, 200]
    for url in (new, edit, move):
        assert as_viewer.get(url).status_code == 403
        assert as_viewer.post(url, {"tank": pool.pk}).status_code == 403
    assert Stay.objects.count() == 0
    assert move not in words(as_viewer.get(mira.get_absolute_url()))


def test_of_many_tanks_forty_are_on_a_page_and_the_others_one_tap_away(as_keeper):
    for number in range(43):
        place = Tank.objects.create(name=f"Tank {number:02}")
        put(cast.ray(f"Ray {number:02}"), place)
    for route in ("housing:index", "housing:waters", "feeding:index"):
        first = as_keeper.get(reverse(route)).content.decode()
        second = as_keeper.get(reverse(route), {"page": "2"}).content.decode()
        for number in range(43):
            link = f">Tank {number:02}</a>"
            assert (link in first, link in second) == (number < 40, number >= 40)
        assert "page 1 of 2" in first
