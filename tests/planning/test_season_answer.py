"""What the plan answers first: whom now, later and never; and what the unknown costs."""

import datetime

import pytest
from django.urls import reverse

from breeding.animals import revisions
from breeding.animals.lineage import current
from breeding.animals.models import Strain
from breeding.animals.parents.unknown import possible_of_young
from breeding.arrivals.models import Arrival
from breeding.buyers.services import add_contact
from breeding.buyers.waiting import add_wish
from breeding.housing.models import Tank
from breeding.pairings.services import record_outcome
from breeding.program import clock
from tests import cast

SEASON, PAIR, TABLE = (reverse(f"planning:{one}") for one in ("season", "pair", "table"))
BORN = cast.day("2018-05-01")


def said(client, address, **asked):
    return " ".join(client.get(address, asked).content.decode().split())


@pytest.fixture
def known_and_unknown(as_keeper):
    """A pair from the wild, and one of which nobody knows whence it is."""
    facts = {"pure": "motoro", "born_on": BORN}
    return (
        cast.female("Mira", origin="wild", **facts),
        cast.male("Deneb", origin="wild", **facts),
        cast.female("Vega", **facts),
        cast.male("Altair", **facts),
    )


def test_two_that_nobody_knows_of_never_stand_above_two_known_to_be_unrelated(
    as_keeper, known_and_unknown
):
    mira, deneb, vega, altair = known_and_unknown
    everybody = {"female": [mira.pk, vega.pk], "male": [deneb.pk, altair.pk], "per_female": 1}
    for figure in ("expected", "cautious"):
        for diversity in ("0", "0.5", "1"):
            asked = everybody | {"diversity": diversity, "figure": figure, "per_male": 1}
            kept = {"must": [f"{mira.pk}-{deneb.pk}", f"{vega.pk}-{altair.pk}"]}
            rows = as_keeper.get(SEASON, asked | kept).context["plan"].rows
            assert [row.is_unsaid for row in rows] == [False, True]
            assert [row.ends for row in rows] == [(0, 0), (0, 1 / 8)]
    only_one = everybody | {"diversity": "0", "litters": 1, "figure": "expected"}
    (row,) = as_keeper.get(SEASON, only_one).context["plan"].rows
    assert (row.female.animal, row.male.animal) == (mira, deneb)


def test_nothing_stands_against_is_never_said_beside_nobody_knows(as_keeper, known_and_unknown):
    mira, deneb, vega, altair = known_and_unknown
    known = said(as_keeper, PAIR, female=mira.pk, male=deneb.pk)
    assert "Nothing speaks against Mira and Deneb" in known
    assert "nobody knows" not in known.split("Fit to breed")[0]
    unknown = said(as_keeper, PAIR, female=vega.pk, male=altair.pk)
    assert "Nothing speaks against" not in unknown
    assert (
        "Nothing on record speaks against Vega and Altair, but nobody knows whether founders "
        "behind the two are kin: F could be up to 12.5 %." in unknown
    )


def test_the_keeper_says_what_founders_of_one_source_are_held_to_be(as_keeper, known_and_unknown):
    *_, vega, altair = known_and_unknown
    asked = {"female": vega.pk, "male": altair.pk, "per_female": 1, "diversity": "0"}
    for held, could_be in (("1/4", 1 / 4), ("1/16", 1 / 16), ("0", 0)):
        (row,) = as_keeper.get(SEASON, asked | {"unknown_kin": held}).context["plan"].rows
        assert row.ends == (0, could_be)
    assert "“1/3”" in said(as_keeper, SEASON, **asked, unknown_kin="1/3")


def test_founders_of_two_sellers_are_not_held_to_be_kin(as_keeper, known_and_unknown):
    *_, vega, altair = known_and_unknown
    for animal, seller in ((vega, "Ada Reef"), (altair, "Ben Quay")):
        contact = add_contact(by=None, name=seller)
        Arrival.objects.create(animal=animal, on=cast.day("2020-01-01"), contact=contact)
    revisions.parentage_changed()
    assert possible_of_young(current(), altair.pk, vega.pk).could_be == 0
    cara, carl = (
        made(name, pure="motoro", born_on=BORN)
        for made, name in ((cast.female, "Cara"), (cast.male, "Carl"))
    )
    for animal, day in ((cara, "2020-01-01"), (carl, "2021-01-01")):
        Arrival.objects.create(animal=animal, on=cast.day(day), contact=contact)
    revisions.parentage_changed()
    assert possible_of_young(current(), carl.pk, cara.pk).could_be == 1 / 8


def test_season_pair_and_table_say_the_same_figures(as_keeper, known_and_unknown):
    mira, _deneb, vega, altair = known_and_unknown
    young = {"born_on": cast.day("2021-05-01")}
    cast.female("Lyra", sire=altair, dam=mira, **young)
    cast.male("Atria", sire=altair, dam=vega, **young)
    plan = as_keeper.get(SEASON).context["plan"]
    table = as_keeper.get(TABLE).context["table"]
    cells = {(cell.female, cell.male): cell for row in table.rows for cell in row.cells}
    assert plan.rows
    for row in plan.rows:
        keys = {"female": row.female.animal.pk, "male": row.male.animal.pk}
        descent = as_keeper.get(PAIR, keys).context["report"].descent
        cell = cells[keys["female"], keys["male"]]
        assert row.inbreeding == cell.inbreeding == float(descent.inbreeding)
        assert row.could_be == pytest.approx(cell.could_be)
        assert row.could_be == pytest.approx(descent.could_be)


def test_what_to_write_down_first_is_what_changes_the_plan(as_keeper, known_and_unknown):
    _mira, deneb, vega, altair = known_and_unknown
    choice = {"female": vega.pk, "male": [deneb.pk, altair.pk], "per_female": 1, "diversity": "0"}
    answer = as_keeper.get(reverse("planning:unknown"), choice)
    assert answer.status_code == 200
    both = {"female": vega.pk, "male": altair.pk, "per_female": 1, "diversity": "0"}
    answer = as_keeper.get(reverse("planning:unknown"), both)
    rows = {row.words: (row.pairs, row.falls) for row in answer.context["rows"]}
    assert rows["the parents of Altair"] == rows["the parents of Vega"] == (0, 1 / 8)
    assert rows["the size of Vega"] == (1, 0)  # were she too small, nobody could be paired
    assert answer.context["rows"][0].pairs == 1
    assert "falls by 12.5 points" in " ".join(answer.content.decode().split())


def test_who_is_fit_within_the_season_waits_and_is_said_from_when(as_keeper):
    today = clock.today()
    cast.male("Deneb", pure="motoro", origin="wild", born_on=BORN, sure=cast.SURE)
    soon = cast.female("Mira", pure="motoro", origin="wild", born_on=cast.ago(730 - 60, today))
    answer = as_keeper.get(SEASON).context["answer"]
    assert answer.now == ()
    (row,) = answer.later
    assert row.female.animal == soon
    assert row.not_before == today + datetime.timedelta(days=60)
    assert "Later, when both are free and fit" in said(as_keeper, SEASON)


def test_pairs_too_close_are_named_as_never(as_keeper, known_and_unknown):
    mira, deneb, *_ = known_and_unknown
    for made, name in ((cast.female, "Lyra"), (cast.male, "Atria")):
        made(name, sire=deneb, dam=mira, born_on=cast.day("2021-05-01"))
    answer = as_keeper.get(SEASON).context["answer"]
    pairs = {(one.female.animal.name, one.male.animal.name) for one in answer.never}
    assert pairs == {("Lyra", "Atria"), ("Lyra", "Deneb"), ("Mira", "Atria")}
    assert {one.inbreeding for one in answer.never} == {1 / 4}


def test_no_more_pairings_than_buyers_and_tanks_bear(as_owner, as_keeper, known_and_unknown):
    form = as_keeper.get(SEASON).context["form"]
    assert form.bears.number is None
    assert len(as_keeper.get(SEASON).context["plan"].rows) == 2
    Tank.objects.create(name="North")
    plan = as_keeper.get(SEASON).context["plan"]
    assert [row.tank for row in plan.rows] == ["North"]
    assert plan.rows[0].is_unsaid is False
    Tank.objects.create(name="South")
    Tank.objects.create(name="East")
    assert len(as_keeper.get(SEASON).context["plan"].rows) == 2
    contact = add_contact(by=None, name="Ada Reef")
    add_wish(contact, by=None, wished_on=clock.today())
    bears = as_owner.get(SEASON).context["form"].bears
    assert "Buyers wait for 1 young; a litter has about" in " ".join(bears.words)
    assert bears.number == 2  # lines nearly lost are bred though nobody waits for the young


def test_pairs_across_species_are_hatched_and_the_law_is_said(as_keeper):
    cast.female("Vega", pure="motoro", born_on=BORN)
    cast.male("Deneb", pure="leopoldi", born_on=BORN)
    page = said(as_keeper, TABLE)
    assert 'class="kin kin-0 across"' in page
    assert "Young of Potamotrygon motoro and Potamotrygon leopoldi are hybrids" in page
    assert "Potamotrygon leopoldi: CITES Appendix II since 23 February 2023" in page


def test_strains_are_named_where_a_pair_would_cross_them(as_keeper):
    strain = Strain.objects.create(name="Paper Lantern", species=cast.species())
    cast.female("Vega", pure="motoro", born_on=BORN, strain=strain)
    cast.male("Deneb", pure="motoro", born_on=BORN)
    page = said(as_keeper, TABLE)
    assert "strains" in page
    assert "Strains here: Paper Lantern." in page


def test_two_of_one_name_are_told_apart_by_their_codes(as_keeper):
    for code in ("A-1", "A-2"):
        cast.female("Mira", code=code, pure="motoro", origin="wild", born_on=BORN)
    cast.male("Deneb", pure="motoro", origin="wild", born_on=BORN)
    page = said(as_keeper, SEASON)
    assert "Mira (A-1)" in page
    assert "Mira (A-2)" in page


def test_who_is_missing_is_a_male_for_the_female_that_has_none(as_keeper):
    mira = cast.female("Mira", pure="motoro", origin="wild", born_on=BORN)
    vega = cast.female("Vega", pure="leopoldi", origin="wild", born_on=BORN)
    cast.male("Deneb", pure="motoro", origin="wild", born_on=BORN)
    answer = as_keeper.get(SEASON)
    first = answer.context["missing"][0]
    assert (first.sex, first.mates, first.without) == ("M", (vega,), 1)
    assert first.best_mate == vega
    assert mira.name in str(answer.context["plan"].rows[0].female.animal)
    assert "most of all a male" in " ".join(answer.content.decode().split())


def test_a_line_kept_pure_is_simulated_from_its_own_animals(as_keeper):
    strain = Strain.objects.create(name="Paper Lantern", species=cast.species())
    facts = {"pure": "motoro", "born_on": BORN, "strain": strain}
    sire, dam = cast.male("Deneb", **facts), cast.female("Mira", **facts)
    address = reverse("planning:line")
    found = as_keeper.get(address).context["found"]
    assert (found.females, found.males) == (1, 1)
    assert found.rows[0].within == 0  # two unrelated animals
    assert found.rows[1].within == 1 / 4  # their young, brother to sister
    assert found.rows[0].shows == 0
    assert found.again == pytest.approx(2, abs=0.1)  # a litter without one is by chance
    assert "in generation 2, in which the trait shows again" in said(as_keeper, address)
    for one in (sire, dam):
        one.strain = None
        one.save()
    assert "there is no line to keep" in said(as_keeper, address, strain="9" * 40)


def test_one_past_her_window_is_settled_before_she_is_paired(as_keeper):
    """Mated long ago, by now hardly pregnant, and nobody wrote down how it ended."""
    born = {"pure": "motoro", "born_on": BORN, "origin": "wild"}
    mira, deneb, rigel = cast.female(**born), cast.male(**born), cast.male("Rigel", **born)
    cast.pair(mira, deneb, 200, 199)
    cast.see(mira, 200)
    asked = {"female": mira.pk, "male": rigel.pk, "per_female": 1, "diversity": "0"}
    answer = as_keeper.get(SEASON, asked).context["answer"]
    assert [row.female.animal for row in answer.first] == [mira]
    assert answer.now == answer.later == ()
    page = said(as_keeper, SEASON, **asked)
    assert "First find out whether she is pregnant" in page
    assert "how that ended is not on record: scan her, or look for pups, first" in page
    assert "once it is known whether she is pregnant" in page
    assert "Not Mira and Rigel now" in said(as_keeper, PAIR, female=mira.pk, male=rigel.pk)
    record_outcome(female=mira, on=clock.today(), kind="unknown", today=clock.today(), by=None)
    answer = as_keeper.get(SEASON, asked).context["answer"]
    assert answer.first == ()


def test_one_that_is_perhaps_pregnant_is_settled_first(as_keeper):
    born = {"pure": "motoro", "born_on": BORN, "origin": "wild"}
    mira, deneb, rigel = cast.female(**born), cast.male(**born), cast.male("Rigel", **born)
    cast.pair(mira, deneb, 40, 15)
    asked = {"female": mira.pk, "male": rigel.pk, "per_female": 1, "diversity": "0"}
    (row,) = as_keeper.get(SEASON, asked).context["answer"].first
    assert "scan her, or watch her, first" in row.female.to_settle
