"""Pages of rounds: two taps, all but one, twice is once, undone; and what they cost."""

import datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.services import add_measurement
from breeding.feeding.models import Feeding, Food, Meal
from breeding.feeding.rations.bodies import bodies_of, suggestion_for
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.program import clock
from breeding.program.models import Act
from breeding.sheets.contents.draft import draft_sheet
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db
INDEX = reverse("feeding:index")


@pytest.fixture
def pool(owner):
    tank = Tank.objects.create(name="Pool")
    for name in ("Vega", "Deneb"):
        ray = cast.ray(name, born_on=ago(1500), born_precision="day")
        move_animal(ray, tank, on=ago(20), by=None, sure=cast.SURE)
    return tank


@pytest.fixture
def worms(pool):
    return Food.objects.create(name="Tank worms")


def of(name):
    return cast.Animal.objects.get(call_name=name)


def send(client, tank, **sent):
    page = client.get(reverse("feeding:tank", args=[tank.pk]))
    token = page.content.decode().split('name="once" value="')[1].split('"')[0]
    return client.post(page.request["PATH_INFO"], {"once": token, **sent}, follow=True), token


def test_all_ate_in_one_tap_from_the_second_round_on(as_keeper, pool, worms):
    send(as_keeper, pool, food=worms.pk, amount_g="60")
    page = words(as_keeper.get(INDEX))
    assert "All ate: 60 g Tank worms" in page
    send(as_keeper, pool, food=worms.pk, usual_g="60")
    _first, second = Feeding.objects.order_by("pk")
    assert (second.amount_g, second.tank) == (Decimal("60.0"), pool)
    assert {meal.took for meal in second.meals.all()} == {"all"}


def test_all_but_one_is_said_and_stands_on_the_page(as_keeper, pool, worms):
    answer, _ = send(as_keeper, pool, food=worms.pk, **{f"took_{of('Deneb').pk}": "none"})
    assert "Written: Pool, Tank worms: all ate but Deneb (refused)." in words(answer)
    assert "refused today" in words(answer)


def test_a_food_typed_while_feeding_is_on_the_list_once(as_keeper, pool, worms):
    send(as_keeper, pool, new_food="smelt")
    send(as_keeper, pool, new_food="Smelt")
    assert sorted(Food.objects.values_list("name", flat=True)) == ["Tank worms", "smelt"]


def test_sent_twice_is_once_and_it_is_undone(as_keeper, pool, worms):
    _, token = send(as_keeper, pool, food=worms.pk)
    again = as_keeper.post(
        reverse("feeding:tank", args=[pool.pk]), {"once": token, "food": worms.pk}, follow=True
    )
    assert "written only once" in words(again)
    assert Feeding.objects.count() == 1
    as_keeper.post(reverse("program:undo", args=[Act.objects.earliest("pk").pk]))
    assert Feeding.objects.get().is_withdrawn


def test_nothing_said_is_an_error_beside_its_field(as_keeper, pool):
    answer, _ = send(as_keeper, pool, note="kept")
    assert "Say what was given" in words(answer)
    assert 'value="kept"' in words(answer)
    assert not Feeding.objects.exists()


def test_the_same_for_other_tanks(as_keeper, pool, worms):
    bay = Tank.objects.create(name="Bay")
    move_animal(cast.ray("Mizar"), bay, on=ago(3), by=None, sure=cast.SURE)
    send(as_keeper, pool, food=worms.pk, amount_g="60", also=[bay.pk])
    assert {one.tank: one.amount_g for one in Feeding.objects.all()} == {pool: 60, bay: None}


def test_far_too_much_is_asked_once(as_keeper, pool, worms):
    for name in ("Vega", "Deneb"):
        add_measurement(of(name), by=None, on=ago(1), weight_g=1000)
    answer, _ = send(as_keeper, pool, food=worms.pk, amount_g="600")
    assert "600 g is more than 25 %" in words(answer)
    assert not Feeding.objects.exists()


def change(client, round_, **sent):
    address = reverse("program:change", args=["feeding", round_.pk])
    form = client.get(address).context["form"]
    shown = {name: form[name].value() for name in form.fields}
    shown["fed_at"] = shown["fed_at"].strftime("%Y-%m-%dT%H:%M")
    kept = {name: value for name, value in shown.items() if value not in (None, "")}
    return client.post(address, kept | sent, follow=True)


def test_a_changed_round_asks_what_a_new_one_asks(as_keeper, pool, worms):
    """Far too much food, and a day on which somebody was not in the tank yet."""
    for name in ("Vega", "Deneb"):
        add_measurement(of(name), by=None, on=ago(1), weight_g=1000)
    send(as_keeper, pool, food=worms.pk, amount_g="60")
    round_ = Feeding.objects.get()
    answer = change(as_keeper, round_, amount_g="600")
    assert "600 g is more than 25 %" in words(answer)
    early = f"{ago(30)}T12:00"
    answer = change(as_keeper, round_, fed_at=early)
    assert "Vega was not in Pool on" in words(answer)
    round_.refresh_from_db()
    assert (round_.amount_g, round_.fed_at.date()) == (Decimal("60.0"), ago(0))
    mark = answer.content.decode().split('name="sure" value="')[1].split('"')[0]
    change(as_keeper, round_, fed_at=early, sure=mark)
    round_.refresh_from_db()
    assert round_.fed_at.date() == ago(30)
    change(as_keeper, round_, note="a slip")  # what stood so before is not asked again
    round_.refresh_from_db()
    assert round_.note == "a slip"


def test_a_ration_from_weight_and_from_width_and_from_nothing(pool):
    vega, deneb = of("Vega"), of("Deneb")
    add_measurement(vega, by=None, on=ago(1), weight_g=1000)
    known, unknown = bodies_of([vega, deneb], clock.today())
    assert (known.weekly.least, known.weekly.most) == (40, 60)
    assert unknown.weekly is None
    said = suggestion_for([known, unknown], unit="g", rounds_a_week=4)
    assert said.words == (
        "10 to 15 g a round, at 4 rounds a week (40 to 60 g a week), without 1 whose weight is not "
        "known."
    )
    assert suggestion_for([unknown], unit="g", rounds_a_week=4).words.startswith("Ration unknown")
    add_measurement(deneb, by=None, on=ago(1), disc_width_mm=200)
    [body] = bodies_of([deneb], clock.today())
    assert body.is_from_width
    assert round(body.grams.least) == 265


def test_the_sheet_says_what_it_feeds_on(as_keeper, pool, worms, owner):
    vega = of("Vega")

    def said():
        facts = draft_sheet(vega, program=cast.the_program(), by=owner, on=clock.today()).facts
        return dict(facts.rows)["Feeds on"]

    assert said() == "not recorded"
    send(as_keeper, pool, food=worms.pk)
    assert said().startswith("Tank worms since ")


def many(tank: Tank, food: Food, days: range) -> None:
    animals = [stay.animal for stay in tank.stays.select_related("animal")]
    start = clock.now() - datetime.timedelta(hours=1)
    rounds = Feeding.objects.bulk_create(
        Feeding(food=food, tank=tank, fed_at=start - datetime.timedelta(days=day), amount_g=10)
        for day in days
    )
    Meal.objects.bulk_create(
        Meal(
            feeding=one, animal=animal, fed_at=one.fed_at, took="none" if number % 9 == 5 else "all"
        )
        for number, one in enumerate(rounds)
        for animal in animals
    )


@pytest.mark.parametrize("route", ["feeding:index", "feeding:rounds", "housing", "animal", "day"])
def test_many_rounds_cost_no_more_questions(as_keeper, pool, worms, route):
    address = {
        "housing": pool.get_absolute_url(),
        "animal": of("Vega").get_absolute_url(),
        "day": reverse("agenda:day"),
    }.get(route) or reverse(route)

    def questions():
        with CaptureQueriesContext(connection) as asked:
            assert as_keeper.get(address).status_code == 200
        return len(asked)

    many(pool, worms, range(10))
    questions()
    before = questions()
    many(pool, worms, range(10, 400))
    assert questions() <= before
    if route.startswith("feeding"):
        assert before < 20
