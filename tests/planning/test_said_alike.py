"""What is said of two animals is said alike on every page, and all that speaks against is said."""

import datetime

import pytest
from django.urls import reverse

from breeding.animals.growth.reading import measured_program
from breeding.animals.models import Strain
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.planning.next_year.tanks import tanks_for_litters
from breeding.planning.services import plan_pairing
from breeding.program import clock
from breeding.words.days import long_day
from tests import cast

pytestmark = pytest.mark.django_db
SEASON = reverse("planning:season")
WILD = {"pure": "motoro", "born_on": cast.day("2018-05-01"), "origin": "wild"}


def page(client, **asked):
    return client.get(SEASON, asked)


def test_two_that_are_together_in_two_tanks_are_to_be_put_right_first(as_keeper, keeper):
    vega, deneb = cast.female("Vega", **WILD), cast.male("Deneb", **WILD)
    tanks = [Tank.objects.create(name=name) for name in ("Port Side", "Boat Loft")]
    cast.pair(vega, deneb, 20)
    for one, tank in zip((vega, deneb), tanks, strict=True):
        move_animal(one, tank, on=cast.ago(5), by=keeper)
    cast.female("Mira", **WILD), cast.male("Altair", **WILD)
    (settled,) = page(as_keeper).context["settled"].together
    assert settled.also[-1] == (
        "But their tanks say that they are apart: Vega is in Port Side, Deneb in Boat Loft. Put "
        "this right first."
    )


def test_all_pairs_of_the_highest_f_are_named_as_never(as_keeper):
    """Two sisters and three brothers, F 1/4 in all six pairs."""
    gone = {"state": "left", "state_on": cast.day("2022-01-01")}
    sire, dam = cast.male("Rigel", **WILD, **gone), cast.female("Leda", **WILD, **gone)
    born = {"sire": sire, "dam": dam, "born_on": cast.day("2020-05-01")}
    sisters = [cast.female(name, **born) for name in ("Mira", "Vega")]
    brothers = [cast.male(name, **born) for name in ("Altair", "Deneb", "Hamal")]
    chosen = {"female": [one.pk for one in sisters], "male": [one.pk for one in brothers]}
    stranger = cast.male("Polaris", **WILD)
    chosen["male"].append(stranger.pk)
    answer = page(as_keeper, **chosen).context["answer"]
    named = {(one.female.animal.pk, one.male.animal.pk) for one in answer.never}
    assert named == {(her.pk, his.pk) for her in sisters for his in brothers}
    assert {one.inbreeding for one in answer.never} == {0.25}
    assert answer.more_never == 0


def test_the_page_of_a_pair_says_what_the_plan_says_of_them(as_keeper, keeper):
    """Of two strains, planned already, and without a tank; then a pair not known to be pure."""
    mira, altair = cast.female("Mira", **WILD), cast.male("Altair", **WILD)
    mira.strain = Strain.objects.create(name="Paper Lantern")
    mira.save()
    today = clock.today()
    day = today + datetime.timedelta(days=10)
    plan_pairing(female=mira, male=altair, not_before=day, by=keeper, today=today)
    pair = {"female": mira.pk, "male": altair.pk}
    shown = cast.words(as_keeper.get(reverse("planning:pair"), pair))
    assert "Of two strains, or of a strain and of none: their young keep no strain pure." in shown
    assert f"Planned already, from {long_day(day)}." in shown
    assert "No tank is free today: make one free for these two first." in shown
    unsaid = cast.male("Hamal", born_on=cast.day("2015-05-01"))
    shown = cast.words(
        as_keeper.get(reverse("planning:pair"), {"female": mira.pk, "male": unsaid.pk})
    )
    may_be = "hey are not known to be of one species: their young may be hybrids"
    assert f"T{may_be}. Nobody can promise what they will look like." in shown
    asked = {"female": mira.pk, "male": unsaid.pk, "per_female": 1, "diversity": "0"}
    rows = page(as_keeper, **asked, keep_species="").context["plan"]
    assert rows is None or all(row.hybrids == f"t{may_be}" for row in rows.rows)
    table = cast.words(as_keeper.get(reverse("planning:table")))
    assert "hatched: hybrids, or perhaps" in table


def test_a_tank_is_free_after_young_only_where_nobody_else_lives_in_it(owner):
    """With the pup its dam may stay; a grown one that is not its dam stays when it leaves."""
    sire, dam, other = cast.male("Rigel"), cast.female("Leda"), cast.female("Alula")
    pups = [cast.female(name, sire=sire, dam=dam, born_on=cast.ago(300)) for name in ("A", "B")]
    for name, inside in {"Chart": (dam, pups[0]), "Rope": (other, pups[1])}.items():
        tank = Tank.objects.create(name=name)
        for one in inside:
            move_animal(one, tank, on=cast.ago(5), by=owner)
    found = tanks_for_litters(["North"], measured_program(), clock.today())
    assert found == ("North (free)", "Chart (its young can leave by now)")
