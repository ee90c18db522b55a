"""Chances of traits from records: known answers, sampled ones, and those of young thought of."""

from fractions import Fraction
from itertools import product

import pytest
from django.core.exceptions import ValidationError

from breeding.animals import lineage
from breeding.animals.species.adding import change_species
from breeding.program import clock
from breeding.traits import pairs, queries, reading
from breeding.traits.models import Trait
from breeding.traits.pairs import pair_said, words_of
from breeding.traits.queries import chance_of_young
from breeding.traits.reading import evidence_of, reading_of
from breeding.traits.services import change_trait
from tests import cast
from tests.traits.cases import hidden_family, look, recessive

pytestmark = pytest.mark.django_db


def chances(trait, animal):
    return pytest.approx(reading_of(trait).chances(animal.pk), abs=1e-12)


def test_parents_of_one_that_shows_it_are_proven_carriers_and_its_littermate_two_in_three(owner):
    honey = recessive()
    rigel, vega, mira, altair = hidden_family(honey)
    assert chances(honey, rigel) == (0, 1, 0)
    assert chances(honey, vega) == (0, 1, 0)
    assert chances(honey, mira) == (0, 0, 1)
    assert chances(honey, altair) == (1 / 3, 2 / 3, 0)
    said = [words_of(reading_of(honey), one.pk) for one in (rigel, mira, altair)]
    assert said == ["carrier, proven by its parents or young", "shows it", "carrier with 67 %"]


def test_a_founder_crossed_to_one_that_shows_it_is_cleared_by_five_young(owner):
    honey = recessive(share=Fraction(1, 2))
    deneb, mira = cast.male("Deneb"), cast.female("Mira")
    look(honey, deneb, "not")
    look(honey, mira, "shows")
    for name in "ABCDE":
        look(honey, cast.ray(name, sire=deneb, dam=mira), "not")
    assert reading_of(honey).chances(deneb.pk)[1] == pytest.approx(1 / 17, abs=1e-12)


def test_a_later_look_takes_the_place_of_an_earlier_one_and_a_test_stands_beside_it(owner):
    honey = recessive()
    mira = cast.female("Mira")
    look(honey, mira, "not", on="2025-03-01")
    look(honey, mira, "shows", on="2025-06-01")
    assert chances(honey, mira) == (0, 0, 1)
    vega = cast.female("Vega")
    look(honey, vega, "copies_1", on="2025-03-01")
    look(honey, vega, "not", on="2025-06-01")
    assert chances(honey, vega) == (0, 1, 0)
    assert words_of(reading_of(honey), vega.pk) == "carrier, tested"


def test_what_cannot_be_told_yet_says_nothing(owner):
    honey = recessive()
    mira = cast.female("Mira")
    look(honey, mira, "untold")
    assert reading_of(honey).is_blank
    assert reading_of(honey).chances(mira.pk) is None


def test_a_test_that_is_not_sure_leaves_a_doubt(owner):
    honey = recessive(share=Fraction(1, 2))
    mira = cast.female("Mira")
    look(honey, mira, "copies_2", sure_percent=98)
    two = reading_of(honey).chances(mira.pk)[2]
    assert two == pytest.approx(0.25 * 0.98 / (0.25 * 0.98 + 0.75 * 0.01), abs=1e-12)
    assert words_of(reading_of(honey), mira.pk).startswith("shows it with 97 %")


def test_littermates_of_an_uncertain_sire_share_him(owner):
    honey = recessive()
    altair, rigel, vega = cast.male("Altair"), cast.male("Rigel"), cast.female("Vega")
    look(honey, altair, "copies_2")
    look(honey, rigel, "copies_0")
    look(honey, vega, "copies_2")
    either = ((altair, Fraction(1, 2)), (rigel, Fraction(1, 2)))
    born = {"born_on": cast.day("2026-05-01"), "born_precision": "day"}
    one = cast.ray("One", dam=vega, possible_sires=either, **born)
    other = cast.ray("Other", dam=vega, possible_sires=either, **born)
    look(honey, one, "shows")
    assert chances(honey, other) == (0, 0, 1)


def test_one_on_whom_nothing_bears_is_said_to_be_as_any_founder(owner):
    honey = recessive()
    hidden_family(honey)
    deneb = cast.male("Deneb")
    found = reading_of(honey)
    assert found.says_nothing_of(deneb.pk)
    assert words_of(found, deneb.pk) == (
        "nothing known: carrier with 18 %, as assumed of any founder"
    )
    assert deneb.pk not in found.ranked


def test_who_shows_it_comes_first_then_by_the_chance_to_carry_it(owner):
    honey = recessive()
    rigel, vega, mira, altair = hidden_family(honey)
    assert reading_of(honey).ranked == [mira.pk, rigel.pk, vega.pk, altair.pk]


def test_dominant_and_codominant_traits(owner):
    lace = recessive("Lace", inheritance=Trait.Inheritance.DOMINANT)
    net = recessive("Net", inheritance=Trait.Inheritance.CODOMINANT)
    rigel, vega = cast.male("Rigel"), cast.female("Vega")
    mira = cast.female("Mira", sire=rigel, dam=vega)
    for trait in (lace, net):
        look(trait, rigel, "shows")
        look(trait, vega, "not")
        look(trait, mira, "not")
    assert words_of(reading_of(lace), rigel.pk) == "shows it, with one copy"
    look(net, cast.male("Deneb"), "twice")
    found = reading_of(net)
    assert words_of(found, Trait.objects.get(name="Net").looks.first().animal_id) == (
        "shows it, with two copies"
    )
    assert words_of(found, vega.pk) == "free of it, by its parents or young"


def test_a_sex_linked_trait_shows_in_sons_of_a_carrier(owner):
    red = recessive(
        "Red", inheritance=Trait.Inheritance.X_RECESSIVE, species=cast.species("motoro")
    )
    assert red.one_copy == "M"  # fixtures/species.json says of its males that they have one X
    rigel, vega = cast.male("Rigel"), cast.female("Vega")
    son = cast.male("Deneb", sire=rigel, dam=vega)
    daughter = cast.female("Mira", sire=rigel, dam=vega)
    unsexed = cast.ray("Izar", sire=rigel, dam=vega)
    look(red, rigel, "not")
    look(red, vega, "not")
    look(red, son, "shows")
    look(red, unsexed, "not")
    found = reading_of(red)
    assert chances(red, vega) == (0, 1, 0)
    assert chances(red, daughter) == (0.5, 0.5, 0)
    assert words_of(found, son.pk) == "shows it"
    assert found.puzzling == (unsexed.pk,)
    young = chance_of_young(red, [(rigel.pk, vega.pk)])[rigel.pk, vega.pk]
    assert (young.shows, young.carries, young.neither) == pytest.approx((0.25, 0.25, 0.5))


def test_a_sex_linked_trait_says_which_sex_has_one_copy(owner):
    linked = {"inheritance": Trait.Inheritance.X_RECESSIVE}
    with pytest.raises(ValidationError, match="Of which species"):
        recessive("Red", **linked)
    unknown = cast.species("leopoldi")
    with pytest.raises(ValidationError, match="in Potamotrygon leopoldi is not known here"):
        recessive("Red", **linked, species=unknown)
    with pytest.raises(ValidationError, match="Where is that known from"):
        change_species(unknown, one_x="F")
    change_species(unknown, one_x="F", one_x_source="own crosses, 2026")
    red = recessive("Red", **linked, species=unknown)
    assert red.one_copy == "F"
    change_species(unknown, one_x="M", one_x_source="Lantern, 2026")
    red = Trait.objects.get(pk=red.pk)
    assert red.differs_from_species
    assert change_trait(red, note="by the newer work").one_copy == "M"
    assert recessive("Pale", species=unknown).one_copy == ""


# ------------------------------------------------------------------------------ young of a pair


def test_young_of_a_pair_from_joint_chances(owner):
    honey = recessive()
    rigel, vega, mira, altair = hidden_family(honey)
    found = chance_of_young(honey, [(altair.pk, mira.pk), (rigel.pk, vega.pk)])
    one = found[altair.pk, mira.pk]
    assert (one.shows, one.carries, one.neither) == pytest.approx((1 / 3, 2 / 3, 0))
    other = found[rigel.pk, vega.pk]
    assert (other.shows, other.carries, other.neither) == pytest.approx((1 / 4, 1 / 2, 1 / 4))
    assert one.has_it == pytest.approx(1)


def _by_all_genotypes(rows, seen, share, sire, dam):
    """Young of two by every genotype of everybody, weighed: the slow way."""
    animals = [row[0] for row in rows]
    handed = {0: 0.0, 1: 0.5, 2: 1.0, None: share}
    total, found = 0.0, [0.0, 0.0, 0.0]
    for genotypes in product(range(3), repeat=len(animals)):
        of = dict(zip(animals, genotypes, strict=True))
        weight = 1.0
        for animal, its_sire, its_dam in rows:
            a, b = handed[of.get(its_sire)], handed[of.get(its_dam)]
            weight *= ((1 - a) * (1 - b), a * (1 - b) + b * (1 - a), a * b)[of[animal]]
            weight *= seen.get(animal, (1, 1, 1))[of[animal]]
        a, b = handed[of[sire]], handed[of[dam]]
        for copies, part in enumerate(((1 - a) * (1 - b), a * (1 - b) + b * (1 - a), a * b)):
            found[copies] += weight * part
        total += weight
    return [one / total for one in found]


def test_young_of_kin_against_all_genotypes_of_everybody(owner):
    honey = recessive(share=Fraction(1, 5))
    rigel, vega, mira, altair = hidden_family(honey)
    izar = cast.female("Izar")
    alya = cast.female("Alya", sire=altair, dam=izar)
    botein = cast.male("Botein", sire=rigel, dam=alya)
    look(honey, botein, "not")
    lineage_rows = [(key, row[1], row[2]) for key, row in lineage.current().rows.items()]
    for sire, dam in ((botein, alya), (altair, alya), (rigel, izar), (botein, mira)):
        expected = _by_all_genotypes(lineage_rows, evidence_of(honey).says, 0.2, sire.pk, dam.pk)
        young = chance_of_young(honey, [(sire.pk, dam.pk)])[sire.pk, dam.pk]
        assert (young.neither, young.carries, young.shows) == pytest.approx(expected, abs=1e-12)
        assert vega.pk not in (sire.pk, dam.pk)


def test_the_page_of_a_pair_says_who_would_show_it_and_when_a_suspect_is_cleared(owner):
    honey = recessive()
    _, _, mira, altair = hidden_family(honey)
    (said,) = pair_said(altair, mira, today=clock.today())
    assert said.rows == [("shows it", "33 %"), ("carries it, and does not show it", "67 %")]
    # Of four, with two in three a carrier whose young show it by halves: 2/3 (1 - 1/16).
    assert said.litter_words == "Of a litter of 4 at least one shows it with 62 %."
    assert said.cleared == (
        "Altair is a carrier with 67 %: after 6 young that do not show it 95 % clear, "
        "after 8 99 %.",
    )


def test_where_it_is_too_tangled_chances_are_sampled_and_say_how_far_they_may_be_off(
    owner, monkeypatch
):
    honey = recessive()
    rigel, vega, mira, altair = hidden_family(honey)
    for room in (reading, queries, pairs):
        monkeypatch.setattr(room, "MOST_MEGABYTES", 0.0)
    found = reading_of(honey)
    assert not found.is_exact
    assert found.together
    assert 0 < found.error(altair.pk) < 0.05
    near = 4 * found.error(altair.pk)
    assert found.chances(altair.pk) == pytest.approx((1 / 3, 2 / 3, 0), abs=near)
    assert words_of(found, rigel.pk) == "carrier with over 99 %"
    young = chance_of_young(honey, [(altair.pk, mira.pk)])[altair.pk, mira.pk]
    assert young.shows == pytest.approx(1 / 3, abs=0.05)
    (said,) = pair_said(altair, mira, today=clock.today())
    assert not said.young.is_exact
    assert vega.pk in found.ranked


# ------------------------------------------------------------------------------ what cannot be


def test_two_that_show_it_with_a_young_that_does_not_are_named(owner):
    honey = recessive()
    rigel, vega = cast.male("Rigel"), cast.female("Vega")
    mira = cast.female("Mira", sire=rigel, dam=vega)
    for animal, seen in ((rigel, "shows"), (vega, "shows"), (mira, "not")):
        look(honey, animal, seen)
    found = reading_of(honey)
    assert set(found.contradicting) == {rigel.pk, vega.pk, mira.pk}
    assert found.chances(mira.pk) is None
    assert chance_of_young(honey, [(rigel.pk, vega.pk)]) == {}
    (said,) = pair_said(rigel, vega, today=clock.today())
    assert said.young is None
    change_trait(honey, inheritance=Trait.Inheritance.DOMINANT)
    assert not reading_of(honey).contradicting
