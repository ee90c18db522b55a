"""What speaks against a hand-over, what it changes, and how it is undone: one thing at a time."""

import datetime
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError

from breeding.animals import services as animals
from breeding.animals.models import Animal
from breeding.buyers import cautions as before
from breeding.buyers import hand_overs, services
from breeding.buyers.models import Reservation
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.litters.models import Litter
from breeding.pairings.models import Pairing
from tests import cast
from tests.buyers.litters import TODAY, litter_of, pup

pytestmark = pytest.mark.django_db
BORN = cast.day("2026-08-17")  # 100 days before
NOW = datetime.datetime(2026, 11, 25, 12, tzinfo=datetime.UTC)


@pytest.fixture(scope="module")
def jo(kept_for_the_file):
    return cast.owner()


@pytest.fixture(scope="module")
def program(jo):
    return cast.the_program()


@pytest.fixture(scope="module")
def kim(jo):
    return services.add_contact(by=jo, name="Kim Lund")


@pytest.fixture(scope="module")
def ada(jo):
    return services.add_contact(by=jo, name="Ada Berg")


@pytest.fixture(scope="module")
def litter(jo):
    return litter_of(cast.female("Vega"))


@pytest.fixture
def alya(litter):
    return pup(litter, "Alya")


@pytest.fixture
def pool(jo):
    return Tank.objects.create(name="Pool")


def go(animal, contact, on=TODAY, **facts):
    wanted = {"on": on, "today": TODAY, "transport": "own_car", **facts}
    return hand_overs.hand_over(animal, contact, by=None, program=cast.the_program(), **wanted)


def undo(gone, jo):
    return hand_overs.withdraw_hand_over(gone, by=jo, now=NOW, reason="the wrong animal")


def take_back(gone, on=TODAY, because="no room"):
    return hand_overs.take_back(gone, on=on, today=TODAY, because=because, by=None)


def again(row):
    return type(row).objects.get(pk=row.pk)


# ------------------------------------------------------------------------ said before it goes


def chance_is(monkeypatch, chance, due=None):
    est = SimpleNamespace(chance=chance, announced=due)
    monkeypatch.setattr(
        before, "may_have_a_season", lambda asked: {one.pk for one in asked if one.sex != "M"}
    )
    monkeypatch.setattr(before, "outlooks_each", lambda _, asked: {one.pk: est for one in asked})


def cautions(animal, program, on=TODAY, **more):
    return [one.words for one in before.cautions_before(animal, program, on=on, **more)]


@pytest.mark.parametrize(
    ("sex", "chance", "is_said"),
    [("F", 0.02, True), ("F", 0.0199, False), ("U", 0.02, True), ("M", 0.5, False)],
)
def test_a_chance_of_pups_is_said_from_two_in_a_hundred_on(
    monkeypatch, program, sex, chance, is_said
):
    chance_is(monkeypatch, chance)
    assert bool(cautions(cast.ray("Mira", sex), program)) is is_said


def test_the_days_she_is_due_on_are_said_where_there_are_any(monkeypatch, program):
    mira = cast.female("Mira")
    chance_is(monkeypatch, 0.5)
    (said,) = cautions(mira, program)
    assert ", due" not in said
    due = SimpleNamespace(p05=cast.day("2026-12-03"), p95=cast.day("2027-01-09"))
    chance_is(monkeypatch, 0.5, due)
    (said,) = cautions(mira, program)
    assert ", due 3 December 2026 to 9 January 2027 if she is. Wait, or have her scanned." in said


def test_a_pup_is_too_young_from_the_day_it_is_born(alya, program):
    (said,) = cautions(alya, program, on=BORN)
    assert said.startswith("Alya is not old and large enough to leave: 42 more days")
    assert cautions(alya, program, on=BORN - datetime.timedelta(days=1)) == []


def test_who_is_no_pup_of_a_litter_on_record_lacks_nothing(litter, program):
    assert cautions(cast.female("Mira"), program) == []
    chara = pup(litter, "Chara")
    assert cautions(chara, program) == [
        "Chara is not old and large enough to leave: 1 cm more disc width."
    ]
    Litter.objects.filter(pk=litter.pk).update(withdrawn_at=NOW, withdrawn_reason="of Mira")
    assert cautions(chara, program) == []


def test_hours_on_the_way_are_said_above_36_and_where_they_are_known(program):
    mira = cast.female("Mira")
    assert [len(cautions(mira, program, hours=hours)) for hours in (None, 0, 36, 37)] == [
        *(0, 0, 0, 1)
    ]
    assert cautions(mira, program, hours=37)[0].startswith("37 hours on the way. ")


# --------------------------------------------------------------------------- who cannot go


def test_one_that_died_meanwhile_is_not_handed_over(alya, kim):
    seen_before = again(alya)
    animals.change_state(alya, state="died", on=cast.day("2026-11-20"))
    with pytest.raises(ValidationError, match="Alya died on 20 November 2026; only an animal"):
        go(seen_before, kim)


def test_one_that_left_on_no_known_day_is_not_handed_over(alya, kim):
    Animal.objects.filter(pk=alya.pk).update(state="left", state_on=None)
    with pytest.raises(ValidationError, match="Alya left; only an animal"):
        go(alya, kim)


def test_one_that_is_on_record_as_handed_over_comes_back_first(alya, kim, ada):
    go(alya, kim, cast.day("2026-11-20"))
    animals.change_animal(alya, state="here", state_on=None)
    with pytest.raises(
        ValidationError, match="is on record as handed over to Kim Lund on 20 November"
    ):
        go(alya, ada)


def test_one_that_is_kept_for_nobody_goes_to_anybody_and_one_kept_only_to_whom_it_is_kept_for(
    litter, kim, ada
):
    assert go(pup(litter, "Alya"), ada).reservation is None
    botein = pup(litter, "Botein")
    services.reserve_animal(botein, kim, by=None, on=TODAY)
    with pytest.raises(ValidationError, match="Botein is reserved for Kim Lund; withdraw that"):
        go(botein, ada)
    assert go(botein, kim).contact == kim


def test_it_may_leave_on_the_day_it_is_born_and_not_before(alya, kim):
    with pytest.raises(ValidationError, match="Alya was born on 17 August 2026; it left later"):
        go(alya, kim, cast.day("2026-08-16"), has_read_cautions=True)
    assert go(alya, kim, BORN, has_read_cautions=True).on == BORN


@pytest.mark.parametrize(("who", "other"), [("Mira", "Deneb"), ("Deneb", "Mira")])
def test_each_of_a_pair_is_taken_apart_first(kim, monkeypatch, who, other):
    chance_is(monkeypatch, 0)
    pair = {"Mira": cast.female("Mira"), "Deneb": cast.male("Deneb")}
    together = Pairing.objects.create(
        female=pair["Mira"], male=pair["Deneb"], introduced_on=cast.day("2026-11-01")
    )
    with pytest.raises(ValidationError, match=f"{who} is together with {other}; take them apart"):
        go(pair[who], kim)
    Pairing.objects.filter(pk=together.pk).update(separated_on=TODAY)
    assert go(pair[who], kim).is_away


def test_a_pairing_that_was_withdrawn_holds_nobody_back(kim, monkeypatch):
    chance_is(monkeypatch, 0)
    mira = cast.female("Mira")
    Pairing.objects.create(
        female=mira,
        male=cast.male("Deneb"),
        introduced_on=cast.day("2026-11-01"),
        withdrawn_at=NOW,
        withdrawn_reason="it was Vega",
    )
    assert go(mira, kim).is_away


def test_it_may_leave_on_the_day_it_came_into_a_tank_and_not_before(alya, kim, pool):
    move_animal(alya, pool, on=cast.day("2026-11-20"), by=None)
    with pytest.raises(ValidationError, match="Alya is in Pool since 20 November 2026"):
        go(alya, kim, cast.day("2026-11-19"))
    assert go(alya, kim, cast.day("2026-11-20")).on == cast.day("2026-11-20")


def test_a_stay_that_has_ended_holds_nobody_back(alya, kim, pool):
    move_animal(alya, pool, on=cast.day("2026-11-20"), by=None)
    move_animal(alya, None, on=cast.day("2026-11-22"), by=None)
    go(alya, kim, cast.day("2026-11-22"))
    assert Stay.objects.get(animal=alya).until == cast.day("2026-11-22")


def test_what_was_given_away_has_no_currency(alya, kim):
    assert again(go(alya, kim, currency="EUR")).currency == ""


def test_a_price_of_nothing_is_a_price(alya, kim):
    with pytest.raises(ValidationError, match="In which currency"):
        go(alya, kim, price=Decimal(0))
    assert again(go(alya, kim, price=Decimal(0), currency="EUR")).price == 0


# ------------------------------------------------------------------------------ coming back


def test_it_may_come_back_on_the_day_it_left_or_today(alya, kim):
    left_on = cast.day("2026-11-20")
    gone = take_back(go(alya, kim, left_on), left_on, "  the tank was sold ")
    assert again(gone).came_back_because == "the tank was sold"
    assert (again(alya).state, again(alya).state_on) == ("here", left_on)
    assert take_back(go(alya, kim, left_on), TODAY).came_back_on == TODAY


@pytest.mark.parametrize("on", ["2026-11-19", "2026-11-26"])
def test_it_comes_back_neither_before_it_left_nor_tomorrow(alya, kim, on):
    gone = go(alya, kim, cast.day("2026-11-20"))
    with pytest.raises(ValidationError, match="it left on 20 November 2026"):
        take_back(gone, cast.day(on))


@pytest.mark.parametrize(
    ("state_on", "said"),
    [("2026-11-22", r"Alya died on 22 November 2026\."), (None, r"Alya died\.")],
)
def test_one_that_died_out_there_does_not_come_back(alya, kim, state_on, said):
    gone = go(alya, kim, cast.day("2026-11-20"))
    Animal.objects.filter(pk=alya.pk).update(state="died", state_on=state_on and cast.day(state_on))
    with pytest.raises(ValidationError, match=said):
        take_back(gone)


def test_why_it_came_back_is_said_in_at_most_200_letters(alya, kim):
    gone = go(alya, kim)
    with pytest.raises(ValidationError, match="came_back_because"):
        take_back(gone, because="x" * 201)
    assert take_back(gone, because="x" * 200).came_back_on == TODAY


def test_one_that_is_written_down_as_here_already_keeps_its_day(alya, kim):
    gone = go(alya, kim, cast.day("2026-11-20"))
    Animal.objects.filter(pk=alya.pk).update(state="here", state_on=cast.day("2026-11-22"))
    take_back(gone)
    assert again(alya).state_on == cast.day("2026-11-22")


# ------------------------------------------------------------------------- written by mistake


def test_what_was_withdrawn_or_came_back_is_not_withdrawn_again(litter, kim, jo):
    gone = undo(go(pup(litter, "Alya"), kim), jo)
    assert again(gone).is_withdrawn
    with pytest.raises(ValidationError, match="Alya came back already, or this was withdrawn"):
        undo(gone, jo)
    with pytest.raises(ValidationError, match="Alya came back already, or this was withdrawn"):
        take_back(gone)
    back = take_back(go(pup(litter, "Botein"), kim))
    with pytest.raises(ValidationError, match="Botein came back already"):
        undo(back, jo)


def test_without_a_tank_and_a_reservation_it_is_simply_here_again(alya, kim, jo):
    born_on = again(alya).state_on
    undo(go(alya, kim), jo)
    assert (again(alya).state, again(alya).state_on) == ("here", born_on)
    assert not Stay.objects.filter(animal=alya).exists()


@pytest.mark.parametrize(
    ("state", "state_on"), [("died", "2026-11-20"), ("left", "2026-11-22"), ("died", "2026-11-22")]
)
def test_what_happened_to_it_otherwise_stays_as_it_is(alya, kim, jo, pool, state, state_on):
    left_on = cast.day("2026-11-20")
    move_animal(alya, pool, on=cast.day("2026-11-01"), by=None)
    gone = go(alya, kim, left_on)
    Animal.objects.filter(pk=alya.pk).update(state=state, state_on=cast.day(state_on))
    undo(gone, jo)
    assert (again(alya).state, again(alya).state_on) == (state, cast.day(state_on))
    assert Stay.objects.get(animal=alya).until == left_on


def test_only_the_stay_that_ended_with_it_goes_on_again(alya, kim, jo, pool):
    cove = Tank.objects.create(name="Cove")
    move_animal(alya, cove, on=cast.day("2026-10-01"), by=None)
    move_animal(alya, pool, on=cast.day("2026-11-01"), by=None)
    undo(go(alya, kim), jo)
    stays = {one.tank.name: one.until for one in Stay.objects.filter(animal=alya)}
    assert stays == {"Cove": cast.day("2026-11-01"), "Pool": None}


def test_a_reservation_stands_again_unless_another_stands_by_now(alya, kim, ada, jo):
    kept = services.reserve_animal(alya, kim, by=None, on=cast.day("2026-11-01"))
    undo(go(alya, kim), jo)
    assert again(kept).is_standing
    gone = go(alya, kim)
    assert again(kept).fulfilled_on == TODAY
    Reservation.objects.create(animal=alya, contact=ada, reserved_on=TODAY)
    undo(gone, jo)
    assert again(kept).fulfilled_on == TODAY
