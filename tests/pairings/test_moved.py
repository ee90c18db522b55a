"""A move renews the seasons of whom it is about, and no kept season is ever an old one."""

import datetime
import random

import pytest
from django.db import transaction
from django.utils import timezone

from breeding.housing.models import Stay, Tank
from breeding.housing.stays.changed import difference
from breeding.pairings.company.known import windows_near
from breeding.pairings.models import Outcome
from breeding.pairings.season import reading
from breeding.pairings.season.disagreements import disagreements
from breeding.pairings.season.facts import Ask
from breeding.pairings.season.late import seasons_if_late
from breeding.pairings.season.reading import seasons
from breeding.program.frame.memory import for_one_request
from breeding.program.queries import the_program
from breeding.program.unchanged.come import Written
from breeding.program.unchanged.each import forget_each
from breeding.program.unchanged.growing import forget_kept
from breeding.program.unchanged.marks import look_again
from tests import cast
from tests.cast import ago, pair, see
from tests.tries import tries

pytestmark = pytest.mark.django_db(transaction=True)
WEEK = datetime.timedelta(days=7)


@pytest.fixture(autouse=True)
def _nothing_kept_yet(transactional_db):
    _forget()
    yield
    _forget()


def _forget():
    look_again()
    forget_each()
    forget_kept()


@pytest.fixture
def tanks():
    return [Tank.objects.create(name=f"Bay {n}", can_divide=n == 0) for n in range(3)]


@pytest.fixture
def reckoned(monkeypatch):
    """Of whom a season was reckoned, each time."""
    found = []

    def read_and_reckoned(program, asks):
        found.append(sorted(ask.female.call_name for ask in asks))
        return of_all(program, asks)

    of_all = reading._read_and_reckoned
    monkeypatch.setattr(reading, "_read_and_reckoned", read_and_reckoned)
    return found


def put(animal, tank, since, until=None, side=""):
    return Stay.objects.create(
        animal=animal, tank=tank, since=ago(since), until=until and ago(until), side=side
    )


def move(animal, tank, on=0):
    Stay.objects.filter(animal=animal, until=None).update(until=ago(on))
    put(animal, tank, on)


def told():
    """What pages read of every season, as comparable figures."""
    with for_one_request(only_reads=True):
        return {
            one.female.call_name: (
                one.exposed,
                [(each.male.call_name, each.first, each.last) for each in one.company],
                [(each.male.call_name, each.first, each.last) for each in one.company_before],
                sorted(one.testimony.company.items()),
                one.looked,
                one.state_words,
                sorted(one.sires.items()),
            )
            for one in seasons(the_program(), asof=ago(0))
        } | {
            f"{one.kind} {one.key}": one.words for one in disagreements(the_program(), asof=ago(0))
        }


def test_of_a_move_today_only_those_beside_are_reckoned_again(tanks, reckoned):
    mira, vega, lyra = (cast.female(name) for name in ("Mira", "Vega", "Lyra"))
    deneb = cast.male("Deneb")
    for one, tank in ((mira, 0), (vega, 1), (lyra, 2), (deneb, 1)):
        put(one, tanks[tank], 60)
    told()
    move(mira, tanks[2])
    told()
    move(deneb, tanks[2])
    found = told()
    assert found["Vega"][1] == [("Deneb", ago(60), ago(0))]
    assert found["Lyra"][1] == found["Mira"][1] == [("Deneb", ago(0), None)]
    assert reckoned == [
        ["Lyra", "Mira", "Vega"],
        ["Lyra", "Mira"],
        ["Lyra", "Mira", "Vega"],
    ]


def test_where_a_male_was_that_is_said_to_have_mated_her_is_read_again(tanks, reckoned):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    deneb = cast.male("Deneb")
    put(mira, tanks[0], 60)
    put(vega, tanks[0], 60)
    put(deneb, tanks[1], 60)
    see(vega, 10, "copulation", male=deneb)
    assert told()["Vega"][0] == []  # he was in another tank
    Stay.objects.filter(animal=deneb).update(withdrawn_at=cast.clock.now())
    assert told()["Vega"][0] == [ago(10)]
    assert reckoned == [["Mira", "Vega"], ["Vega"]]


def test_a_move_before_the_newest_outcome_is_about_everybody(tanks, reckoned):
    mira, vega, lyra = (cast.female(name) for name in ("Mira", "Vega", "Lyra"))
    for one, tank in ((mira, 0), (vega, 1), (lyra, 2)):
        put(one, tanks[tank], 300)
    Outcome.objects.create(female=lyra, on=ago(20), kind="not_pregnant")
    told()
    move(mira, tanks[1], on=20)
    told()
    move(mira, tanks[0], on=19)
    Stay.objects.filter(animal=mira, since=ago(20)).update(since=ago(21))
    told()
    assert reckoned == [
        ["Lyra", "Mira", "Vega"],
        ["Mira", "Vega"],
        ["Lyra", "Mira", "Vega"],
    ]


@pytest.mark.parametrize("seed", range(tries(6)))
def test_no_kept_season_is_an_old_one_whatever_is_written_of_stays(tanks, seed):
    draw = random.Random(seed)
    females = [cast.female(f"Ray {n}") for n in range(4)]
    males = [*(cast.male(f"Sire {n}") for n in range(2)), cast.ray("Nobody", "U")]
    for one in (*females, *males):
        put(one, draw.choice(tanks), draw.randrange(30, 200))
    pair(females[0], males[0], 40, 10)
    see(females[1], 12, "copulation", male=males[1])
    Outcome.objects.create(female=females[2], on=ago(60), kind="live_birth")
    told()
    for _ in range(8):
        _write(draw, draw.choice([*females, *males]), tanks)
        kept = told()
        assert kept == told()
        _forget()
        assert kept == told()


def names_of_late(*females):
    found = seasons_if_late(the_program(), females, ago(0))
    return [found[one.pk].female.call_name for one in females if one.pk in found]


def test_who_cannot_be_late_is_known_by_her_kept_season_though_a_male_comes_today(tanks, reckoned):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    deneb = cast.male("Deneb")
    for one, tank, since in ((mira, 0, 100), (vega, 1, 100), (deneb, 1, 100)):
        put(one, tanks[tank], since)
    assert names_of_late(mira, vega) == ["Mira", "Vega"]  # nothing is kept yet
    told()
    move(deneb, tanks[0])
    assert names_of_late(mira, vega) == ["Vega"]
    assert reckoned == [["Mira", "Vega"]]


def test_one_to_whom_a_male_came_before_today_is_read_again(tanks):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    put(mira, tanks[0], 100)
    put(deneb, tanks[1], 100)
    told()
    assert names_of_late(mira) == []
    move(deneb, tanks[0], on=1)
    assert names_of_late(mira) == ["Mira"]
    told()
    assert names_of_late(mira) == []
    Stay.objects.filter(animal=deneb, tank=tanks[0]).update(since=ago(90))
    Stay.objects.filter(animal=deneb, tank=tanks[1]).update(until=ago(90))
    assert names_of_late(mira) == ["Mira"]
    told()
    assert names_of_late(mira) == ["Mira"]  # and so it stays


@pytest.mark.parametrize("seed", range(tries(6)))
def test_nobody_near_birth_is_left_out_whatever_an_act_writes_of_stays(tanks, seed):
    draw = random.Random(seed)
    females = [cast.female(f"Ray {n}") for n in range(4)]
    males = [cast.male(f"Sire {n}") for n in range(2)]
    for one in (*females, *males):
        put(one, draw.choice(tanks), draw.randrange(60, 200))
    see(females[1], 80, "copulation", male=males[1])
    asks = [Ask(one, ago(0)) for one in females]
    for _ in range(8):
        told()
        with transaction.atomic():
            _write(draw, draw.choice([*females, *males]), tanks)
            late = seasons_if_late(the_program(), females, ago(0)).values()
            read = reading._read_and_reckoned(the_program(), asks)
            assert windows_near(late, ago(0)) == windows_near(read, ago(0))


def _write(draw, animal, tanks):
    stays = list(Stay.objects.filter(animal=animal).order_by("since"))
    last = stays[-1] if stays else None
    act = draw.choice(["move", "move", "end", "sooner", "other tank", "side", "withdraw", "away"])
    if last is None or act == "move":
        move(animal, draw.choice(tanks), draw.choice([0, 0, 5, 20]))
    elif act == "end":
        Stay.objects.filter(pk=last.pk).update(until=None if last.until else ago(0))
    elif act == "sooner":
        Stay.objects.filter(pk=last.pk).update(since=last.since - draw.choice([1, 30]) * WEEK / 7)
    elif act == "other tank":
        Stay.objects.filter(pk=last.pk).update(tank=draw.choice(tanks))
    elif act == "side":
        Stay.objects.filter(tank=tanks[0]).update(side=draw.choice(["", "left"]))
    elif act == "withdraw":
        Stay.objects.filter(pk=last.pk).update(withdrawn_at=cast.clock.now())
    else:
        Stay.objects.filter(pk=last.pk).delete()


def as_it_is(stay):
    about = ("id", "animal_id", "tank_id", "side", "since", "until", "withdrawn_at")
    return Stay.every.values(*about).get(pk=stay.pk)


def test_two_ends_of_a_stay_differ_from_the_sooner_on(tanks):
    hers, his, gone = (cast.female("Mira"), cast.male("Deneb"), cast.male("Castor"))
    stay = put(hers, tanks[0], since=0)
    put(his, tanks[0], since=7, until=-21)
    Stay.objects.create(animal=gone, tank=tanks[0], since=ago(7), until=ago(0))
    written = Written(None, (as_it_is(stay),))
    assert difference(written) is None
    Stay.objects.filter(pk=stay.pk).update(until=ago(-7))
    found = difference(written)
    assert (found.animals, found.beside, found.first) == ({hers.pk}, {hers.pk, his.pk}, ago(-7))
    again = Written(None, (*written.before, as_it_is(stay)))
    Stay.objects.filter(pk=stay.pk).update(until=None, tank=tanks[1])
    found = difference(again)
    everybody = {hers.pk, his.pk, gone.pk}
    assert (found.animals, found.beside, found.first) == ({hers.pk}, everybody, ago(0))


def test_a_stay_that_was_withdrawn_differs_and_one_that_never_counted_does_not(tanks):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    stay = put(mira, tanks[0], since=9, side="left")
    put(deneb, tanks[0], since=3)
    counted = Written(None, (as_it_is(stay),))
    Stay.objects.filter(pk=stay.pk).update(withdrawn_at=timezone.now())
    found = difference(counted)
    assert (found.animals, found.beside, found.first) == ({mira.pk}, {deneb.pk}, ago(9))
    withdrawn = Written(None, (as_it_is(stay),))
    Stay.every.filter(pk=stay.pk).update(until=ago(1))
    assert difference(withdrawn) is None


def test_a_stay_that_was_added_is_about_whoever_is_beside_it(tanks):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    put(deneb, tanks[0], since=3)
    stay = put(mira, tanks[0], since=0)
    found = difference(Written(stay.pk - 1))
    assert (found.animals, found.beside, found.first) == ({mira.pk}, {mira.pk, deneb.pk}, ago(0))
