"""The fish house drawn: where tanks stand, who is in each, what is due; and arranging them."""

import datetime
import itertools
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.housing.house.figures import Figure, figures_of, sized
from breeding.housing.house.marks import Mark, marks_of
from breeding.housing.house.plan import DESK_PX, Standing, plan_of
from breeding.housing.house.reading import plan_of_tanks
from breeding.housing.models import BOTH_DISTANCES, Tank, WaterSystem
from breeding.housing.services import close_divider, move_animal
from breeding.program import clock
from breeding.program.models import Act
from tests import cast

HOUSE, ARRANGE = reverse("housing:house"), reverse("housing:arrange")


def tank(name: str, **facts) -> Tank:
    return Tank.objects.create(name=name, **{"length_mm": 2400, "width_mm": 1200, **facts})


def put(animal: Animal, place: Tank, side: str = "") -> None:
    move_animal(animal, place, on=clock.today(), by=None, side=side, sure=cast.SURE)


# -------------------------------------------------------------------------------------- the plan


def test_a_tank_stands_where_its_keeper_put_it_and_the_others_follow_in_a_row_below():
    plan = plan_of([Standing(1, "", 2000, 1000, 3000, 500), Standing(2, "", 2000, 1000)])
    placed, free = plan.rooms[0].boxes
    wall = placed.left - 3000
    assert (placed.wide, placed.deep, placed.is_placed) == (2000, 1000, True)
    assert wall > 0  # the same strip inside of the wall for all
    assert free.top > placed.bottom


def test_two_placed_tanks_keep_their_distance_to_the_millimetre():
    plan = plan_of(
        [Standing(1, "", 2000, 1000, 0, 0), Standing(2, "", 2000, 1000, 2600, 1700)],
    )
    one, other = plan.rooms[0].boxes
    assert (other.left - one.left, other.top - one.top) == (2600, 1700)


def test_a_turned_tank_has_its_length_from_back_to_front():
    (box,) = plan_of([Standing(1, "", 2000, 800, 0, 0, is_turned=True)]).rooms[0].boxes
    assert (box.wide, box.deep) == (800, 2000)


def test_rooms_are_drawn_apart_and_to_one_scale():
    plan = plan_of([Standing(1, "Cellar", 3000, 1000), Standing(2, "Attic", 9000, 1000)])
    assert [room.name for room in plan.rooms] == ["Attic", "Cellar"]
    assert plan.rooms[0].wide == plan.wide
    assert plan.rooms[1].wide < plan.wide


def test_an_unmeasured_tank_is_drawn_as_a_guess():
    (box,) = plan_of([Standing(1, "", None, None)]).rooms[0].boxes
    assert not box.is_measured


def test_tanks_in_rows_never_overlap_nor_leave_their_room():
    plan = plan_of([Standing(key, "", 1500 + 200 * (key % 9), 900) for key in range(60)])
    (room,) = plan.rooms
    boxes = sorted(room.boxes, key=lambda box: (box.top, box.left))
    for one, other in itertools.pairwise(boxes):
        assert one.right < other.left or one.bottom < other.top
    assert all(box.right < room.wide and box.bottom < room.deep for box in boxes)


def test_words_go_inside_where_two_tanks_stand_back_to_back():
    plan = plan_of([Standing(1, "", 2000, 1000, 0, 0), Standing(2, "", 2000, 1000, 0, 1050)])
    assert [box.is_roomy for box in plan.rooms[0].boxes] == [False, False]
    assert plan.px_per_mm == pytest.approx(DESK_PX / plan.wide)


# ----------------------------------------------------------------------------------- who is in it


@pytest.mark.django_db
def test_three_young_of_one_birth_are_a_diamond_with_their_number():
    born = clock.today() - datetime.timedelta(days=60)
    pool, dam = tank("Pool"), cast.female("Mira")
    for number in range(3):
        put(cast.male(f"Pup {number}", dam=dam, born_on=born), pool)
    put(dam, pool)
    stays = pool.stays.select_related("animal__dam")
    mira, litter = sorted(figures_of(stays, clock.today()), key=lambda one: one.count)
    assert (mira.animal, mira.frame, mira.is_litter) == (dam, "circle", False)
    assert (litter.count, litter.frame) == (3, "diamond")


def test_faces_are_as_large_as_all_find_a_place():
    alone = [Figure(Animal(call_name="Mira", sex="F"))]
    roomy, crowded = sized("", alone, 200, 100), sized("", alone * 30, 200, 100)
    assert (roomy.face_px, roomy.is_named) == (56, True)
    assert (crowded.face_px, crowded.is_named, len(crowded.figures)) == (17, False, 30)
    assert crowded.more == 0


def test_those_for_whom_no_place_is_left_are_a_number():
    rays = [Figure(Animal(call_name=f"Ray {number}", sex="F")) for number in range(50)]
    litter = Figure(Animal(call_name="Pup", sex="U"), 7)
    crowded = sized("", [*rays, litter], 200, 100)  # 8 by 4 of the smallest, the last a number
    assert (len(crowded.figures), crowded.more) == (31, 19 + 7)
    assert (sized("", rays, 20, 20).figures, sized("", rays, 20, 20).more) == ((), 50)


# ----------------------------------------------------------------------------------- on the page


def test_the_house_of_nobody_asks_for_a_tank_first(as_keeper):
    assert "No tank is written down yet" in cast.words(as_keeper.get(HOUSE))


def test_the_house_says_who_is_in_each_tank_and_what_is_due(as_keeper):
    pool = tank("Pool", can_divide=True)
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    put(mira, pool)
    put(deneb, pool)
    close_divider(pool, left=[mira], right=[deneb], on=clock.today(), by=None)
    page = cast.words(as_keeper.get(HOUSE))
    assert "The water of one tank with animals is not known." in page
    assert "1 tank with 2 animals" in page
    html = as_keeper.get(HOUSE).content.decode()
    assert "divided" in html
    assert re.search(r'shape circle">\s*</span>\s*<small>Mira</small>', html)
    assert re.search(r'shape square">\s*</span>\s*<small>Deneb</small>', html)


def test_tanks_of_one_water_are_joined_by_a_line_and_named_by_it(as_keeper):
    sump = WaterSystem.objects.create(name="Long sump")
    for name in ("Bow", "Stern"):
        tank(name, system=sump)
    html = as_keeper.get(HOUSE).content.decode()
    assert html.count('<svg class="shares"') == 1
    assert "breeding, Long sump" in html
    assert re.search(r"</span>&#32;<b>Bow</b>&#32;\s*<small>", html)  # three words and not one


def test_the_house_asks_no_more_for_ten_more_tanks_and_animals(as_keeper):
    def fill(first: int, last: int) -> None:
        for number in range(first, last):
            put(cast.female(f"Ray {number}"), tank(f"Tank {number}"))

    counts = []
    for first, last in ((0, 2), (2, 12)):
        fill(first, last)
        as_keeper.get(HOUSE)
        with CaptureQueriesContext(connection) as asked:
            as_keeper.get(HOUSE)
        counts.append(len(asked))
    assert counts[0] == counts[1]


@pytest.mark.django_db
def test_the_same_words_of_several_animals_are_one_mark(rf, monkeypatch):
    pool = tank("Pool")
    mark = Mark("now", "feed it", "Mira")
    monkeypatch.setattr(
        "breeding.housing.house.marks._sources", {"": lambda request: [(pool.pk, mark)] * 3}
    )
    assert marks_of(rf.get("/"), [], clock.today()) == {pool.pk: [mark]}


def test_of_many_tanks_those_that_press_alike_are_a_page_of_their_own(as_keeper):
    for number in range(62):
        put(cast.female(f"Ray {number:02}"), tank(f"Tank {number:02}"))
    house = as_keeper.get(HOUSE)
    html = house.content.decode()
    assert html.count('class="tank-box small') == 62
    assert html.count('class="tank-card"') == 12
    assert html.count('class="inside">1') == 62  # who is in each stands on its page
    level = re.search(r'href="/tanks/house/\?due=(now|week|time|well)"', html)[1]
    first = as_keeper.get(HOUSE, {"due": level}).content.decode()
    assert (first.count('class="tank-card"'), "page 1 of 2" in first) == (48, True)
    second = as_keeper.get(HOUSE, {"due": level, "page": "2"}).content.decode()
    assert second.count('class="tank-card"') == 14
    assert as_keeper.get(HOUSE, {"due": "nonsense"}).content.decode().count("tank-box") > 60


def test_a_viewer_sees_the_house_and_moves_no_tank(as_viewer):
    tank("Pool")
    assert "Move the tanks about" not in cast.words(as_viewer.get(HOUSE))
    assert as_viewer.get(ARRANGE).status_code == 403


# -------------------------------------------------------------------------------- where they stand


def sent(one: Tank, left="120", back="40", room="", **further) -> dict[str, str]:
    key = one.pk
    named = {"stands_in": room, "from_left_mm": left, "from_back_mm": back, **further}
    return {f"{name}_{key}": value for name, value in named.items()}


def test_arranging_keeps_where_each_stands_and_can_be_undone(as_keeper):
    pool, bay = tank("Pool"), tank("Bay")
    said = {**sent(pool, room="Cellar", is_turned="on"), **sent(bay, left="", back="")}
    token = re.search(r'name="once" value="([^"]+)"', as_keeper.get(ARRANGE).content.decode())
    answer = as_keeper.post(ARRANGE, {**said, "once": token[1]}, follow=True)
    assert "Where they stand is saved: Pool." in cast.words(answer)
    pool.refresh_from_db()
    assert (pool.stands_in, pool.from_left_mm, pool.from_back_mm, pool.is_turned) == (
        *("Cellar", 1200, 400),
        True,
    )
    act = Act.objects.latest("pk")
    as_keeper.post(reverse("program:undo", args=[act.pk]))
    pool.refresh_from_db()
    assert (pool.stands_in, pool.from_left_mm, pool.is_turned) == ("", None, False)


def test_one_distance_alone_is_refused_beside_its_field_and_kept_as_typed(as_keeper):
    pool = tank("Pool")
    answer = as_keeper.post(ARRANGE, sent(pool, back=""))
    assert BOTH_DISTANCES in cast.words(answer)
    assert 'value="120"' in answer.content.decode()
    pool.refresh_from_db()
    assert pool.from_left_mm is None


def test_a_tank_that_came_after_the_page_was_opened_stays_where_it_is(as_keeper):
    pool, late = tank("Pool"), tank("Late", from_left_mm=100, from_back_mm=100)
    as_keeper.post(ARRANGE, sent(pool))
    late.refresh_from_db()
    assert late.from_left_mm == 100


def test_where_a_tank_stands_is_changed_on_its_own_page_too(as_keeper):
    pool = tank("Pool")
    page = reverse("housing:edit", args=[pool.pk])
    form = as_keeper.get(page).context["form"]
    facts = {name: form[name].value() for name in form.fields if form[name].value()}
    as_keeper.post(page, {**facts, "from_left_mm": "50", "from_back_mm": "60"})
    pool.refresh_from_db()
    assert (pool.from_left_mm, pool.from_back_mm) == (500, 600)
    assert plan_of_tanks([pool]).rooms[0].boxes[0].is_placed


def test_of_many_tanks_a_page_is_arranged_at_a_time_and_the_others_stay(as_keeper):
    for number in range(52):
        tank(f"Tank {number:02}", from_left_mm=0, from_back_mm=3000 * number)
    html = as_keeper.get(ARRANGE, {"page": "2"}).content.decode()
    assert html.count('<fieldset class="stand"') == 2
    last = Tank.objects.get(name="Tank 51")
    as_keeper.post(f"{ARRANGE}?page=2", sent(last))
    stand = list(Tank.objects.order_by("name").values_list("from_left_mm", flat=True))
    assert stand == [0] * 51 + [1200]
