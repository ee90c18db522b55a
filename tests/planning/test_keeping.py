"""Whom of a litter to hold back: what the program would lose, with known answers."""

import numpy as np
import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.models import Measurement
from breeding.animals.parents.parentage import Parents
from breeding.buyers import services as buyers
from breeding.litters.services import PupFacts, record_birth
from breeding.litters.verdicts.deciding import record_verdict
from breeding.planning.keeping.measures import gains_of
from breeding.planning.keeping.reading import Household, keeping_of
from breeding.planning.keeping.said import answer_of
from breeding.planning.queries import living_keys
from breeding.program import clock
from pedigree import Pedigree, founder_shares, gene_diversity
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


def born(dam, sire, sexes="FFFMM", days=70, widths=()):
    litter = record_birth(
        dam=dam,
        born_on=cast.ago(days),
        pups=[PupFacts(sex=sex, disc_width_mm=90) for sex in sexes],
        parents=Parents(sire, dam),
        today=clock.today(),
        by=None,
        sure=cast.SURE,
    )
    for pup, width in zip(litter.pups.order_by("number"), widths, strict=False):
        Measurement.objects.create(animal=pup.animal, on=cast.ago(1), disc_width_mm=width)
    return litter


def gone(animal):
    animal.state, animal.state_on = "died", cast.ago(30)
    animal.save()
    return animal


@pytest.fixture
def program():
    return cast.the_program()


@pytest.fixture
def last_of_sirrah(program):
    """Sirrah died and left one litter with Mira; two females and three males are here besides."""
    sirrah, mira = cast.male("Sirrah", pure="motoro"), cast.female("Mira", pure="motoro")
    for name in ("Vega", "Spica"):
        cast.male(name, pure="motoro")
    cast.male("Deneb", pure="motoro")
    cast.female("Atria", pure="motoro")
    litter = born(mira, sirrah, widths=(140, 160, 150))
    gone(sirrah)
    return litter


def keeping(litter):
    return keeping_of(litter, cast.the_program(), asof=clock.today())


# -------------------------------------------------------------------------------- the figures


def gains(kinship, rest, young):
    """From a whole table of kinship, by places in it."""
    return gains_of(
        float(kinship[np.ix_(rest, rest)].sum()),
        len(rest),
        kinship[np.ix_(young, rest)].sum(axis=1),
        kinship[np.ix_(young, young)],
    )


def test_a_litter_is_weighed_as_from_a_table_of_all_with_all(last_of_sirrah):
    """Also where one of it is on its way out, and one held back."""
    first, second, third = (one.animal for one in last_of_sirrah.pups.order_by("number")[:3])
    cast.female("Pollux", sire=cast.male("Castor"))
    household = Household()
    household.leaving.add(third.pk)
    keys = list(household.sexes)
    table = household.lineage.pedigree.kinship_matrix(keys)
    for young in ([first.pk, second.pk], [first.pk, second.pk, third.pk]):
        rest = [
            at for at, key in enumerate(keys) if key not in young and key not in household.leaving
        ]
        found = household.stakes(young).gains
        told = gains(table, rest, [keys.index(key) for key in young])
        assert found.order == told.order
        assert found.with_so_many == pytest.approx(told.with_so_many, abs=1e-12)
        assert found.without_each == pytest.approx(told.without_each, abs=1e-12)
        assert found.mean_kinship == pytest.approx(told.mean_kinship, abs=1e-12)
    assert household.mean_kinship(first.pk) == pytest.approx(
        table[keys.index(first.pk)].mean(), abs=1e-12
    )


def test_shares_of_founders_are_those_of_the_pedigree_with_and_without_the_litter(last_of_sirrah):
    """Also where one of it is on its way out, and where all of it are."""
    young = [one.animal_id for one in last_of_sirrah.pups.order_by("number")]
    household = Household()
    ped, names = household.lineage.pedigree, household.names
    for leaving in ([], young[2:], young):
        household = Household()
        household.leaving.update(leaving)
        rest = [key for key in household.staying if key not in young]
        now, then = founder_shares(ped, [*rest, *young]), founder_shares(ped, rest)
        found = household.stakes(young)
        assert found.alone == ("Sirrah",)
        assert {name: (one, other) for name, one, other in found.shares} == {
            names[key]: (pytest.approx(now[key]), pytest.approx(then.get(key, 0.0)))
            for key in founder_shares(ped, young)
        }


def test_gains_equal_the_gene_diversity_of_the_program_without_each():
    """Against the pedigree's own figure, for a program of two litters."""
    rows = [("A", None, None), ("B", None, None), ("C", None, None), ("D", "A", "B")]
    rows += [(f"x{n}", "C", "D") for n in range(3)] + [("y", "A", "C")]
    ped = Pedigree.from_rows(rows)
    ids = list(ped.ids)
    young = [ids.index(f"x{n}") for n in range(3)]
    rest = [place for place in range(len(ids)) if place not in young]
    found = gains(ped.kinship_matrix(ids), rest, young)
    kept = [ids[place] for place in rest]
    for number, diversity in enumerate(found.with_so_many):
        some = [*kept, *(f"x{n}" for n in range(number))]
        assert diversity == pytest.approx(gene_diversity(ped, some), abs=1e-12)
    assert found.without_each[1] == pytest.approx(
        gene_diversity(ped, [*kept, "x0", "x2"]), abs=1e-12
    )
    assert len(set(found.without_each)) == 1  # the same parents


def test_whoever_is_less_akin_to_the_rest_adds_most():
    """Two young: one unrelated to the only other, one its clone."""
    kinship = np.array([[0.5, 0.5, 0.0], [0.5, 0.5, 0.0], [0.0, 0.0, 0.5]])
    found = gains(kinship, [0], [1, 2])
    assert found.order == (1, 0)
    assert found.with_so_many[1] == pytest.approx(0.75)
    assert found.worth_keeping == 1


def test_nothing_is_worth_keeping_of_what_the_program_is_full_of():
    kinship = np.array([[0.5, 0.0, 0.25], [0.0, 0.5, 0.25], [0.25, 0.25, 0.5]])
    assert gains(kinship, [0, 1], [2]).worth_keeping == 0


# ---------------------------------------------------------------------------------- the answer


def test_a_line_that_hangs_on_a_litter_alone_is_said_first(last_of_sirrah):
    """Females are fewer in the rest of the program: Mira and Atria beside three males."""
    found = keeping(last_of_sirrah)
    assert found.stakes.alone == ("Sirrah",)
    assert found.stakes.sex_wanted == "F"
    said = answer_of(found)
    assert said.startswith("Hold back ")
    assert said.endswith("of these five: nobody else carries Sirrah's line.")
    assert "female" in said


def test_littermates_are_ranked_by_sex_then_by_size(last_of_sirrah):
    names = [row.reading.pup.number for row in keeping(last_of_sirrah).rows]
    assert names == [2, 3, 1, 4, 5]


def test_once_one_is_held_back_the_line_is_safe_and_the_others_may_go(last_of_sirrah):
    for number in (1, 2):
        one = last_of_sirrah.pups.get(number=number).animal
        record_verdict(
            one, decision="hold", on=clock.today(), today=clock.today(), by=None, reason="line"
        )
    found = keeping(last_of_sirrah)
    assert found.stakes.alone == ()
    assert "are held back. " in answer_of(found)
    assert len(found.stakes.young) == 3


def test_a_parent_that_is_here_carries_its_own_line(program):
    found = keeping(born(cast.female(), cast.male()))
    assert found.stakes.alone == ()
    assert answer_of(found) == (
        "None of these five needs to be held back: by pedigree the program loses next to nothing "
        f"without them. If one is to stay all the same: {found.rows[0].animal.name} first."
    )


def test_those_on_their_way_out_carry_no_line(last_of_sirrah, program):
    """A half sister of theirs carries it too, until she is reserved for a buyer."""
    sirrah = last_of_sirrah.pups.first().animal.sire
    half = cast.female("Izar", sire=sirrah, dam=cast.female("Rana"))
    assert keeping(last_of_sirrah).stakes.alone == ()
    buyer = buyers.add_contact(by=None, name="Ulla")
    buyers.reserve_animal(half, buyer, by=None, on=clock.today())
    assert half.pk in Household().leaving
    assert keeping(last_of_sirrah).stakes.alone == ("Sirrah",)


def test_an_unknown_sire_is_said_to_make_it_the_most_that_could_be_lost(program):
    litter = born(cast.female(), None, sexes="F")
    assert keeping(litter).stakes.lacks_parents


# ------------------------------------------------------------------------------------ the page


def test_litter_says_the_answer_the_rules_and_the_figures(as_keeper, last_of_sirrah):
    page = words(as_keeper.get(reverse("planning:litter", args=[last_of_sirrah.pk])))
    assert "nobody else carries Sirrah&#x27;s line" in page
    assert "These five have the same parents, so by pedigree they are equal" in page
    assert "<b>age: met</b> 70 days" in page
    assert "16.0 cm on 24 November 2026" in page
    assert "nothing left" in page
    assert "Hold back</a>" in page


def test_litter_names_the_buyer_only_to_who_may_read_of_buyers(
    as_keeper, as_viewer, last_of_sirrah
):
    one = last_of_sirrah.pups.first().animal
    buyer = buyers.add_contact(by=None, name="Ulla Fern")
    buyers.reserve_animal(one, buyer, by=None, on=clock.today())
    url = reverse("planning:litter", args=[last_of_sirrah.pk])
    assert "reserved for Ulla Fern" in words(as_keeper.get(url))
    as_viewed = words(as_viewer.get(url))
    assert "Ulla" not in as_viewed
    assert "reserved" in as_viewed


def test_litters_are_ranked_by_what_the_program_would_lose(as_viewer, last_of_sirrah):
    other = born(cast.female("Izar", pure="motoro"), cast.male("Rigel", pure="motoro"))
    page = words(as_viewer.get(reverse("planning:litters")))
    assert page.index(f"Litter {last_of_sirrah.code}") < page.index(f"Litter {other.code}")


def test_litter_asks_as_often_with_ten_more_pups_and_animals(as_keeper, last_of_sirrah):
    url = reverse("planning:litter", args=[last_of_sirrah.pk])
    as_keeper.get(url)
    with CaptureQueriesContext(connection) as few:
        as_keeper.get(url)
    for n in range(10):
        cast.ray(f"Star {n}", "F", sire=cast.male(f"Sire {n}"), pure=None)
    as_keeper.get(url)
    with CaptureQueriesContext(connection) as many:
        as_keeper.get(url)
    assert len(many) == len(few) < 20
    assert len(living_keys()) > 20
