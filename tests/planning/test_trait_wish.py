"""A trait as a wish for the season's plan: who gives it with the least F, and what is nearest."""

from types import SimpleNamespace

import pytest
from django.urls import reverse

from breeding.animals import lineage
from breeding.animals.parents.unknown import possible_of_young
from breeding.animals.species.profiles import Figures
from breeding.health.apart.services import keep_apart
from breeding.planning.season.told.second_year import second_generation
from breeding.planning.season.trait_wish import TraitWish
from breeding.program import clock
from breeding.traits.inheritance import Belief
from breeding.traits.models import Trait
from breeding.traits.pairs import pair_said
from breeding.traits.queries import chance_of_one, chance_of_young
from breeding.words.numbers import percent
from tests import cast
from tests.traits.cases import look, recessive

SEASON, PAIR, UNKNOWN = (reverse(f"planning:{one}") for one in ("season", "pair", "unknown"))
BORN = {"pure": "motoro", "born_on": cast.day("2015-05-01"), "origin": "wild"}


def said(client, address, **asked):
    return " ".join(client.get(address, asked).content.decode().split())


@pytest.fixture
def honey(as_keeper):
    """Mira and Altair, sister and brother, are tested carriers; so is Deneb, unrelated, and Vega,
    unrelated too, has no copy. Polaris is a further male of whom a test says that he has none."""
    trait = recessive()
    sire, dam = cast.male("Rigel", **BORN), cast.female("Nunki", **BORN)
    born = cast.day("2018-05-01")
    mira = cast.female("Mira", sire=sire, dam=dam, born_on=born)
    altair = cast.male("Altair", sire=sire, dam=dam, born_on=born)
    deneb, polaris = cast.male("Deneb", **BORN), cast.male("Polaris", **BORN)
    vega = cast.female("Vega", **BORN)
    for one, copies in ((mira, 1), (altair, 1), (deneb, 1), (polaris, 0), (vega, 0)):
        look(trait, one, f"copies_{copies}")
    return {
        "trait": trait,
        **{one.call_name: one for one in (mira, altair, deneb, polaris, vega, sire, dam)},
    }


def asking(honey, females, males, **more):
    return {
        "female": [honey[name].pk for name in females],
        "male": [honey[name].pk for name in males],
        "per_female": 1,
        "per_male": 1,
        "diversity": "0",
        "figure": "expected",
        "trait": honey["trait"].pk,
        "trait_look": "shows",
        "trait_per": "young",
        "trait_least": "25",
        "trait_pairs": "1",
        **more,
    }


def pairs_of(response):
    return {(one.female.animal.name, one.male.animal.name) for one in response.context["plan"].rows}


def test_the_pairing_that_gives_it_without_mating_sister_to_brother(as_keeper, honey):
    """F alone would do with Polaris for her; Altair, her brother, gives it with F 25 %."""
    asked = asking(honey, ["Mira"], ["Altair", "Deneb", "Polaris"])
    for diversity in ("0", "0.5", "1"):
        response = as_keeper.get(SEASON, asked | {"diversity": diversity})
        assert pairs_of(response) == {("Mira", "Deneb")}
        (row,) = response.context["plan"].rows
        assert row.has_trait
        assert response.context["plan"].proven
    page = said(as_keeper, SEASON, **asked)
    assert "Paper Honey: each of their young shows it with 25 %" in page


def test_where_only_her_brother_gives_it_the_nearest_are_named(as_keeper, honey):
    page = said(as_keeper, SEASON, **asking(honey, ["Mira"], ["Altair", "Polaris"], most="6.25"))
    assert "These wishes cannot all be met." in page
    assert "1 pair whose young each show Paper Honey with 25 % or more" in page
    assert "Mira with Altair: 25 %, but F 25 %" in page
    assert "F up to 25 %" in page
    assert "are not among those you chose" in page
    assert "Mira with Deneb: 25 %, F 0 %" in page
    has = asking(honey, ["Mira"], ["Altair", "Polaris"], most="6.25", trait_look="has")
    assert pairs_of(as_keeper.get(SEASON, has)) == {("Mira", "Polaris")}  # one young in two has it


def the_nearest(client, asked):
    found = client.get(SEASON, asked).context
    return found["nearest"], found["not_chosen"]


def test_a_direct_way_says_by_when_and_what_a_litter_brings(as_keeper, honey, monkeypatch):
    """Free on 25 November 2026, and at the most 140 days with young; 1 - (3/4)^4 is 68.4 %."""
    monkeypatch.setattr(clock, "today", lambda: cast.day("2026-11-25"))
    asked = asking(honey, ["Mira"], ["Altair", "Polaris"], most="6.25")
    (near, *_), (other,) = the_nearest(as_keeper, asked)
    when = "Their first litter can be there in 2027; of 4 young at least one shows it with 68 %."
    assert near == f"Mira with Altair: 25 %, but F 25 %. {when}"
    assert other == f"Mira with Deneb: 25 %, F 0 %. {when}"
    of_litter = asked | {"trait_per": "litter", "trait_least": "60"}
    (near, *_), _ = the_nearest(as_keeper, of_litter)
    assert near.endswith("but F 25 %. Their first litter can be there in 2027.")
    has = asking(honey, ["Vega"], ["Polaris"], trait_look="has", trait_least="50")
    _, others = the_nearest(as_keeper, has)
    assert "of 4 young at least one has it, shown or carried, with " in others[0]


def test_a_direct_way_says_what_f_could_be_where_ancestry_is_half_known(as_keeper, honey):
    """Spica's and Capella's parents are on record on one side only: nobody knows the other one."""
    born = {"born_on": cast.day("2018-05-01")}
    spica = cast.female("Spica", dam=cast.female("Ankaa", **BORN), **born)
    capella = cast.male("Capella", dam=cast.female("Adhara", **BORN), **born)
    for one in (spica, capella):
        look(honey["trait"], one, "copies_1")
    everybody = honey | {"Spica": spica, "Capella": capella}
    asked = asking(everybody, ["Spica"], ["Capella"], trait_least="26")
    (near, *_), _ = the_nearest(as_keeper, asked)
    most = possible_of_young(lineage.current(), capella.pk, spica.pk).could_be
    assert most > 0
    assert near.startswith(
        f"Spica with Capella: 25 %, F 0 %. F of young of Capella could be up to {percent(most)}."
    )


def test_a_direct_way_across_species_says_that_the_young_are_hybrids(as_keeper, honey):
    leo = cast.male("Leo", pure="leopoldi", born_on=cast.day("2015-05-01"), origin="wild")
    look(honey["trait"], leo, "copies_1")
    everybody = honey | {"Leo": leo}
    kept_pure = asking(everybody, ["Mira"], ["Leo"], keep_species="on")
    (near,), _ = the_nearest(as_keeper, kept_pure)
    hybrids = "they are of two species: their young are hybrids"
    assert near.startswith(f"Mira with Leo: 25 %, F 0 %, but {hybrids}.")
    assert near.count("hybrids") == 1
    free = asking(everybody, ["Mira"], ["Leo"], keep_species="false", trait_least="26")
    (near, *_), _ = the_nearest(as_keeper, free)
    assert near.startswith("Mira with Leo: 25 %, F 0 %. They are of two species")


def test_of_one_that_waits_for_what_nobody_knows_no_year_is_said(as_keeper, honey):
    """Deneb is with Vega until somebody parts them; from quarantine the day is known."""
    cast.pair(honey["Vega"], honey["Deneb"], 10)
    asked = asking(honey, ["Mira"], ["Altair"], most="6.25")
    _, others = the_nearest(as_keeper, asked)
    of_deneb = next(one for one in others if one.startswith("Mira with Deneb: "))
    assert "Deneb is with Vega" in of_deneb
    assert of_deneb.endswith(" Nobody can say yet when they can be paired.")


def test_of_one_in_quarantine_the_year_counts_from_its_end(as_keeper, honey, monkeypatch):
    """140 days from 1 August 2027 end in December; from its end, 30 days later, in January."""
    monkeypatch.setattr(clock, "today", lambda: cast.day("2027-08-01"))
    keep_apart([honey["Deneb"]], since=cast.day("2027-08-01"), today=clock.today(), by=None)
    _, (other,) = the_nearest(as_keeper, asking(honey, ["Mira"], ["Altair"], most="6.25"))
    assert "Deneb is in quarantine" in other
    assert "Their first litter can be there in 2028" in other


def test_with_a_lower_chance_there_is_a_plan_and_it_is_proposed(as_keeper, honey):
    asked = asking(honey, ["Mira", "Vega"], ["Altair", "Deneb"], most="6.25", trait_least="60")
    page = said(as_keeper, SEASON, **asked)
    assert "1 pair whose young each show Paper Honey with 25 % or more" in page
    assert "Mira with Deneb: 25 %, F 0 %" in page
    assert pairs_of(as_keeper.get(SEASON, asked | {"trait_least": "25"})) >= {("Mira", "Deneb")}


def test_of_a_litter_at_least_one(as_keeper, honey):
    """Two carriers: 1 - (3/4)^4 is 68.4 % for the four young a litter is assumed to have."""
    asked = asking(honey, ["Mira"], ["Deneb", "Polaris"], trait_per="litter", trait_least="68")
    assert pairs_of(as_keeper.get(SEASON, asked)) == {("Mira", "Deneb")}
    page = said(as_keeper, SEASON, **asked)
    assert "Paper Honey: of 4 young at least one shows it with 68 %" in page
    assert "cannot all be met" in said(as_keeper, SEASON, **(asked | {"trait_least": "69"}))


def test_the_chance_on_the_plan_is_that_of_the_page_of_the_pair(as_keeper, honey):
    """One that may carry it: also of a litter, whose young are not independent of each other."""
    trait, mira, rigel = honey["trait"], honey["Mira"], honey["Rigel"]
    everybody = [honey[name] for name in ("Altair", "Deneb", "Polaris", "Rigel")]
    for sire in everybody:
        (page,) = [one for one in pair_said(sire, mira, today=clock.today()) if one.trait == trait]
        one = chance_of_one(trait, [sire.pk], [mira.pk], young=1, look="shows")
        litter = chance_of_one(trait, [sire.pk], [mira.pk], young=page.usual.young, look="shows")
        has = chance_of_one(trait, [sire.pk], [mira.pk], young=1, look="has")
        of_young = chance_of_young(trait, [(sire.pk, mira.pk)])[sire.pk, mira.pk]
        assert one[0, 0] == pytest.approx(page.young.shows, abs=1e-12)
        assert litter[0, 0] == pytest.approx(page.young.at_least_one, abs=1e-12)
        assert has[0, 0] == pytest.approx(of_young.has_it, abs=1e-12)
    assert "carrier" in said(as_keeper, PAIR, female=mira.pk, male=rigel.pk)


def test_fewer_pairs_than_wished_for_are_proposed(as_keeper, honey):
    asked = asking(honey, ["Mira", "Vega"], ["Altair", "Deneb"], trait_pairs="2", most="")
    page = said(as_keeper, SEASON, **asked)
    assert "2 pairs whose young each show Paper Honey with 25 % or more" in page
    assert "1 pair whose young each show Paper Honey with 25 % or more" in page


def test_a_wish_for_a_trait_needs_room(as_keeper, honey):
    cast_tank = asking(honey, ["Mira", "Vega"], ["Deneb"], free_tanks_only="on")
    page = said(as_keeper, SEASON, **cast_tank)
    assert "no more pairings than free tanks (none is free)" in page


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("trait_least", "", "Say with which chance at least"),
        ("trait_least", "101", "100"),
        ("trait_least", "much", "number"),
        ("trait_pairs", "0", "1"),
        ("trait", "4711", "4711"),
        ("trait_look", "glows", "“glows”"),
    ],
)
def test_a_wish_that_cannot_be_read_is_refused(as_keeper, honey, field, value, words):
    asked = asking(honey, ["Mira"], ["Deneb"]) | {field: value}
    response = as_keeper.get(SEASON, asked)
    assert response.status_code == 200
    assert field in response.context["form"].errors
    assert words in response.content.decode()


def test_what_cannot_have_been_seen_is_settled_first(as_keeper, honey):
    for name in ("Rigel", "Nunki"):
        look(honey["trait"], honey[name], "copies_0")
    page = said(as_keeper, SEASON, **asking(honey, ["Mira"], ["Deneb"]))
    assert "What was seen of Paper Honey cannot all be" in page


def test_without_traits_nothing_is_asked(as_keeper, honey):
    assert "A trait some of the young are to have" in said(as_keeper, SEASON)
    Trait.every.all().update(withdrawn_at="2026-01-01T00:00Z", withdrawn_reason="none")
    assert "A trait some of the young are to have" not in said(as_keeper, SEASON)


def test_what_to_write_down_first_heeds_the_wish(as_keeper, honey):
    asked = asking(honey, ["Mira"], ["Altair", "Polaris"], most="6.25")
    for one in (asked, asked | {"trait_least": "1"}, asked | {"most": ""}):
        assert as_keeper.get(UNKNOWN, one).status_code == 200


def test_that_carriers_show_nothing_yet_is_said_with_the_years_it_takes(as_keeper, honey):
    """Only Mira and Polaris: none of their young shows it, one in two carries it."""
    asked = asking(honey, ["Mira"], ["Polaris"])
    page = said(as_keeper, SEASON, **asked)
    assert "cannot all be met" in page
    assert "It can be had in two generations as well" in page
    assert "Plan for young that carry it" in page
    carried = said(as_keeper, SEASON, **asked | {"trait_look": "has"})
    assert (
        "Young that only carry Paper Honey do not show it. It shows a generation later" in carried
    )


def test_of_a_trait_that_one_copy_shows_no_second_generation_is_said():
    """Fit to breed from 730 days on, and two gestations from 55 to 175 days: 960 days."""
    wish = TraitWish("Pale", "has", 0.25)
    hers = [SimpleNamespace(figures=Figures("none", {}))]
    assert second_generation(wish, Belief("dominant", "", 0.1), hers) == ""
    told = second_generation(wish, Belief("recessive", "", 0.1), hers)
    assert "about 2.6 years from now" in told
