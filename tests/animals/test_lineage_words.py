"""What pages say of F, its range, its reasons, species and how much is known."""

import html
import re
from fractions import Fraction

import pytest
from django.urls import reverse

from breeding.animals.lineage import YOUNG, current
from breeding.animals.parents.descent import short_inbreeding_of_young
from breeding.animals.pictures.known import known_of
from breeding.pairings.services import open_pairing
from breeding.words.descent.ancestry import basis_words
from breeding.words.numbers import as_shown
from pedigree import (
    Pedigree,
    inbreeding_range,
    independent_segments,
    realised_spread,
    spread_of_share,
)
from pedigree.explain.sire_ways import MOST_WAYS
from tests import cast

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how facts become words")]
HALF = Fraction(1, 2)


def words(answer):
    """The text of a page, without its marks."""
    page = answer.content.decode()
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


def page_of(client, animal):
    return words(client.get(animal.get_absolute_url()))


def check_of(client, female, male):
    typed = {"female": female.pk, "male": male.pk, "introduced_on": "2026-01-05", "look": "1"}
    return client.post(reverse("pairings:new"), typed)


# ------------------------------------------------------------------------- how sires may range


def test_the_mean_over_every_way_is_the_expected_f():
    half = {1: HALF, 2: HALF}
    rows = [(1, None, None), (2, None, None), (3, None, None), (4, 1, 3)]
    rows += [(5, half, 4, "litter"), (6, half, 4, "litter"), (7, {1: Fraction(1, 3)}, 5)]
    rows += [(8, 7, 6)]
    ped = Pedigree.from_rows(rows)
    found = inbreeding_range(ped, 8)
    assert found.ways == 4  # one sire for the litter, and one for the single pup
    chance = {1: HALF, 2: HALF}
    alone = {1: Fraction(1, 3), None: Fraction(2, 3)}
    mean = sum(float(chance[of] * alone[own]) * f for f, (of, own) in found.cases)
    # Henderson 1988, J Anim Sci 66:1614-1621: the mixture's F is the mean over the assignments.
    assert mean == pytest.approx(ped.inbreeding()[ped.row(8)], abs=1e-12)
    assert found.lowest[0] < mean < found.highest[0]


def test_too_many_ways_are_counted_and_not_walked():
    rows = [(one, None, None) for one in range(1, 9)]
    shares = {one: Fraction(1, 8) for one in range(1, 9)}
    rows += [(10, shares, None), (11, shares, 10), (12, shares, 11)]
    found = inbreeding_range(Pedigree.from_rows(rows), 12)
    assert (found.ways, found.cases) == (512, ())
    assert found.ways > MOST_WAYS


def test_a_pair_with_an_uncertain_sire_behind_it_has_a_range(as_keeper):
    mizar, regulus = cast.male("Mizar"), cast.male("Regulus")
    shares = ((mizar, Fraction(3, 5)), (regulus, Fraction(2, 5)))
    alphecca = cast.female("Alphecca", dam=cast.female("Nunki"), possible_sires=shares)
    page = words(check_of(as_keeper, alphecca, mizar))
    # Father and daughter 1/4, unrelated 0 (Lange, Applied Probability, table 5.1).
    said = (
        "from 0 % to 25 % : 25 %, as close as full siblings, or parent and young, if the sire of "
        "Alphecca is Mizar and 0 % if he is Regulus; 15 % (3/20) expected"
    )
    assert f"Inbreeding F of their young: {said}" in page
    assert "The sire, Mizar, may also be the sire of Alphecca (15 % expected)." in page
    pairing = open_pairing(
        female=alphecca,
        male=mizar,
        introduced_on=cast.day("2026-01-05"),
        reason="the last of her line",
        program=cast.the_program(),
        by=None,
        today=cast.day("2026-01-06"),
    )
    kept = words(as_keeper.get(pairing.get_absolute_url()))
    assert said in kept


def test_an_animal_with_several_possible_sires_is_explained_under_each(as_keeper):
    altair, rigel = cast.male("Altair"), cast.male("Rigel")
    mira = cast.female("Mira", sire=altair)
    shares = ((altair, Fraction(3, 4)), (rigel, Fraction(1, 4)))
    page = page_of(as_keeper, cast.ray("Izar", dam=mira, possible_sires=shares))
    assert "18.75 % (3/16) expected by the shares of the possible sires" in page
    assert "If Altair is the sire (3/4): 25 %" in page
    assert "If Rigel" not in page  # nothing to explain under him
    assert "The sire, Altair, is also the sire of Mira (25 %)." in page


# ------------------------------------------------------------------------- how much is known


def test_uncertain_sires_count_by_their_share_and_in_whole_ancestors(as_keeper):
    vega, deneb = cast.female("Vega"), cast.male("Deneb")
    lyra = cast.ray("Lyra", dam=vega, possible_sires=((deneb, Fraction(1, 5)),))
    page = page_of(as_keeper, lyra)
    assert (
        "from about 1 of 14 possible ancestors in three generations, uncertain sires counted by "
        "their share"
    ) in page
    assert "1.2 of" not in page


def test_what_is_known_of_young_is_what_would_be_known_once_they_are_there():
    vega = cast.female("Vega")
    sire, dam = cast.male("Deneb", dam=vega), cast.female("Mira", dam=vega)
    thought_of = known_of(current().young_of(sire.pk, dam.pk), YOUNG)
    pup = cast.ray("Izar", sire=sire, dam=dam)
    assert thought_of == known_of(current(), pup.pk)
    assert thought_of.equivalent_generations == 1.5  # two parents, two of four grandparents
    assert basis_words(thought_of.by_generation) == (
        "from 4 of 14 possible ancestors in three generations"
    )


def test_the_list_shows_how_much_is_known_beside_f(as_keeper):
    cast.ray("Izar", sire=cast.male("Deneb"), dam=cast.female("Mira"))
    page = as_keeper.get(reverse("animals:index")).content.decode()
    assert "Known: parents 2 of 2, grandparents 0 of 4, great-grandparents 0 of 8" in page
    assert "1.0 gen." in page


# ------------------------------------------------------------------------- narrowing the list


@pytest.fixture
def line():
    """Two founders, two full siblings and their young: F 0, 0, 0, 0, 1/4."""
    parents = {"sire": cast.male("Altair"), "dam": cast.female("Vega")}
    sire, dam = cast.male("Deneb", **parents), cast.female("Mira", **parents)
    return cast.ray("Izar", sire=sire, dam=dam)


@pytest.mark.parametrize(
    ("query", "shown"),
    [
        ("f_from=25", {"Izar"}),
        ("f_from=25%25", {"Izar"}),
        ("f_from=24,9", {"Izar"}),
        ("f_from=25.1", set()),
        ("f_to=0", {"Altair", "Vega", "Deneb", "Mira"}),
        ("f_from=0&f_to=100", {"Altair", "Vega", "Deneb", "Mira", "Izar"}),
        ("known=1", {"Deneb", "Mira", "Izar"}),
        ("known=1.5", {"Izar"}),
        ("known=2&f_to=10", set()),
    ],
)
def test_index_narrows_by_f_in_percent_and_by_known_generations(as_keeper, line, query, shown):
    page = as_keeper.get(f"{reverse('animals:index')}?{query}").content.decode()
    names = ("Altair", "Vega", "Deneb", "Mira", "Izar")
    assert {name for name in names if f">{name}</a>" in page} == shown


def test_index_says_what_f_may_be_and_sorts_by_what_is_expected(as_keeper):
    mizar, regulus = cast.male("Mizar"), cast.male("Regulus")
    nunki = cast.female("Nunki", dam=cast.female("Adhara"), sire=mizar)
    shares = ((mizar, Fraction(3, 5)), (regulus, Fraction(2, 5)))
    cast.female("Alphecca", dam=nunki, possible_sires=shares)
    cast.female("Wezen", dam=nunki, sire=regulus)
    page = as_keeper.get(f"{reverse('animals:index')}?sort=-inbreeding").content.decode()
    rows = [
        " ".join(re.sub(r"<[^>]*>", " ", row).split())
        for row in page.split("</table>")[0].split("<tr")[2:]
    ]
    said = {name: row for row in rows for name in ("Alphecca", "Nunki", "Wezen") if name in row}
    # Father and daughter 1/4, unrelated 0; 3/5 of a quarter are 3/20.
    assert "Alphecca" in rows[0]
    assert " 0 to 25 %, 15 % expected " in said["Alphecca"]
    assert " 0 % " in said["Wezen"]
    assert "at least" not in said["Wezen"]
    assert "at least 0 %" in next(row for row in rows if "Mizar" in row)


def test_the_verdict_on_a_pair_and_a_row_of_the_plan_give_the_range_too(as_keeper):
    mizar, regulus = cast.male("Mizar"), cast.male("Regulus")
    shares = ((mizar, Fraction(3, 5)), (regulus, Fraction(2, 5)))
    alphecca = cast.female("Alphecca", dam=cast.female("Nunki"), possible_sires=shares)
    asked = f"?female={alphecca.pk}&male={mizar.pk}"
    page = words(as_keeper.get(reverse("planning:pair") + asked))
    assert "Their young would have F 0 to 25 %, 15 % expected" in page
    found = current()
    assert short_inbreeding_of_young(found, mizar.pk, alphecca.pk) == "0 to 25 %, 15 % expected"
    assert short_inbreeding_of_young(found, regulus.pk, alphecca.dam_id) == (
        "0 %, no common ancestor on record"
    )


def test_index_finds_by_the_f_it_shows(as_keeper):
    # Roan Gauntlet's F is 9/64 (Lynch & Walsh 1998, ch. 7), shown as 14.06 %.
    assert as_shown(9 / 64) == Fraction(1406, 10_000)
    assert as_shown(1 / 16) == Fraction(1, 16)
    assert 0 < as_shown(1e-6) < Fraction(1, 10**5)


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("f_from=abc", "“abc” is not an F in per cent; allowed is a number from 0 to 100"),
        ("f_to=101", "“101” is not an F in per cent; allowed is a number from 0 to 100"),
        ("f_from=-1", "“-1” is not an F in per cent"),
        ("f_from=1e9", "“1e9” is not an F in per cent"),
        ("f_from=20&f_to=10", "F to 10 % is less than F from 20 %"),
        ("known=many", "“many” is not a number of generations; allowed is a number from 0 to 99"),
    ],
)
def test_index_refuses_what_is_no_f_by_name(as_keeper, line, query, said):
    page = words(as_keeper.get(f"{reverse('animals:index')}?{query}"))
    assert said in page
    assert "Nothing is shown" in page


# ------------------------------------------------------------------------- species and variation


def test_the_spread_by_heterogeneity_is_that_of_f2_and_backcross():
    segments = independent_segments(30, 1.0)
    for share, heterogeneity, cross in ((HALF, 0.5, "F2"), (Fraction(3, 4), 0.5, "backcross")):
        assert spread_of_share(share, heterogeneity, segments) == pytest.approx(
            realised_spread(cross, [1.0] * 30), rel=1e-12
        )


@pytest.fixture
def crosses():
    """Two pure animals of each species, an F1 pair and its young, an F2."""
    motoro = cast.male("Rigel", pure="motoro"), cast.female("Spica", pure="motoro")
    leopoldi = cast.male("Altair", pure="leopoldi"), cast.female("Vega", pure="leopoldi")
    sire = cast.male("Deneb", sire=motoro[0], dam=leopoldi[1])
    dam = cast.female("Mira", sire=leopoldi[0], dam=motoro[1])
    return sire, dam, cast.ray("Izar", sire=sire, dam=dam)


def test_an_f1_is_half_of_each_for_certain(as_keeper, crosses):
    page = page_of(as_keeper, crosses[0])
    assert "A first cross has exactly one half of each species" in page
    assert "F1 of P. motoro and P. leopoldi" in page


def test_an_f2_varies_and_the_page_says_what_is_assumed(as_keeper, crosses):
    page = page_of(as_keeper, crosses[2])
    # Own arithmetic: 32 chromosomes of 1 Morgan, (1 + exp(-2))/8/32 = 0.00443 a gamete; half of
    # that, times two gametes of a quarter each: the square root of 0.00222 is 4.7 points.
    # Two of them on each side.
    assert (
        "Single animals differ: of 100 animals bred like this about 95 have between 41 % and 59 % "
        "P. leopoldi." in page
    )
    assert "32 pairs of chromosomes" in page
    assert "nobody has published a map for these species" in page
    assert "At 50 % of the genes one copy of each is expected;" in page


def test_young_of_two_f1_are_said_to_be_f2_before_they_are_there(as_keeper, crosses):
    sire, dam, _ = crosses
    page = words(check_of(as_keeper, dam, sire))
    assert "1/2 P. leopoldi and 1/2 P. motoro expected" in page
    assert "F2 of" in page
    assert "about 95 have between 41 % and 59 % P. leopoldi" in page


def test_nothing_is_said_of_variation_while_a_part_is_unknown(as_keeper, crosses):
    page = page_of(as_keeper, cast.ray("Lyra", sire=crosses[0]))
    assert "cannot be said while a part of their ancestry is unknown" in page
    assert "A hybrid, of which species is not known: 1/2 of the ancestry is unknown" in page


def test_nothing_is_said_of_variation_while_the_sire_may_be_of_either_species(as_keeper, crosses):
    rigel, altair = cast.male("Sirius", pure="motoro"), cast.male("Castor", pure="leopoldi")
    shares = ((rigel, HALF), (altair, HALF))
    pup = cast.ray("Lyra", dam=crosses[1], possible_sires=shares)
    assert "cannot be said while a sire is uncertain" in page_of(as_keeper, pup)


# ------------------------------------------------------------------------- folded until asked for


def test_reasons_and_what_is_known_are_folded(as_keeper, line):
    dam, sire = line.dam, line.sire
    for page in (
        as_keeper.get(line.get_absolute_url()).content.decode(),
        check_of(as_keeper, dam, sire).content.decode(),
    ):
        for summary in ("Why", "How much is known"):
            assert re.search(rf"<details>\s*<summary>{summary}", page)
        assert "are the parents of both parents" in page
        assert page.index("<summary>Why") < page.index("are the parents of both parents")
