"""What is known of an animal's ancestors, in sentences; shares by our own arithmetic."""

from fractions import Fraction

import pytest

from breeding.words.descent.ancestry import (
    captivity_sentence,
    generation_name,
    known_sentence,
    known_words,
    origin_sentence,
    tree_sentence,
)
from breeding.words.descent.shares import shares_sentence
from breeding.words.descent.who import Who
from pedigree import (
    Pedigree,
    composition,
    crosses,
    gaps,
    generation_in_captivity,
    known_ancestors,
    unknown_parts,
)

SPECIES = {1: "P. motoro", 2: "P. leopoldi"}


class Family:
    """Rows of a pedigree with what the founders are."""

    def __init__(self, *rows, motoro=(), leopoldi=(), base=None, wild=(), elsewhere=()):
        self.ped = Pedigree.from_rows(rows)
        given = {name: {1: Fraction(1)} for name in motoro}
        given |= {name: {2: Fraction(1)} for name in leopoldi}
        given |= base or {}
        self.base, self.wild = given, wild
        self.shares = composition(self.ped, given)
        self.names = {
            name: Who(
                name,
                origin="wild" if name in wild else "elsewhere" if name in elsewhere else "here",
            )
            for name in self.ped.ids
        }

    def species(self, name):
        return shares_sentence(
            self.shares[name],
            SPECIES,
            unknown_parts(self.ped, name, self.base),
            self.names,
            cross=crosses(self.ped, self.base)[name],
            is_founder=self.ped.is_founder(name),
        )

    def known(self, name):
        missing = gaps(self.ped, name, 3, self.wild)
        return known_sentence(known_ancestors(self.ped, name, 3), missing, self.names)


# -------------------------------------------------------------------------------------- species


def test_the_last_eighth_came_through_an_unknown_male():
    """Half, quarter, eighth: one unknown great-grandsire among eight."""
    family = Family(
        ("Mira", "Deneb", "Vega"),
        ("Vega", "Altair", "Izar"),
        ("Izar", None, "Mizar"),
        *((name, None, None) for name in ("Deneb", "Altair", "Mizar")),
        motoro=("Deneb", "Altair", "Mizar"),
    )
    assert family.species("Mira") == (
        "7/8 P. motoro expected; the last eighth came through an unknown male (the sire of Izar)"
    )
    assert family.species("Vega") == (
        "3/4 P. motoro expected; the last quarter came through an unknown male (the sire of Izar)"
    )


def test_a_hybrids_unknown_share_is_divided_among_those_it_came_through():
    family = Family(
        ("Hamal", "Castor", "Taygeta"),
        ("Castor", "Altair", "Vega"),
        ("Taygeta", "Arcturus", "Electra"),
        *((name, None, None) for name in ("Altair", "Vega", "Arcturus", "Electra")),
        motoro=("Altair",),
        leopoldi=("Vega",),
        base={"Arcturus": {1: Fraction(1, 2)}},
    )
    assert family.species("Hamal") == (
        "3/8 P. motoro and 1/4 P. leopoldi expected; the last 3/8 came through Electra, whose "
        "species is not recorded (1/4) and Arcturus, whose species is only partly recorded (1/8)"
    )
    sources = unknown_parts(family.ped, "Hamal", family.base)
    assert sum(one.share for one in sources) == family.shares["Hamal"][None] == Fraction(3, 8)


def test_a_first_cross_is_not_only_expected_and_a_backcross_is():
    family = Family(
        ("F1", "Altair", "Vega"),
        ("Back", "Altair", "F1"),
        ("Altair", None, None),
        ("Vega", None, None),
        motoro=("Altair",),
        leopoldi=("Vega",),
    )
    assert (
        family.species("F1") == "1/2 P. leopoldi and 1/2 P. motoro, the first cross of two species"
    )
    assert family.species("Back") == "3/4 P. motoro and 1/4 P. leopoldi expected"
    assert family.species("Altair") == "P. motoro"


def test_nothing_recorded_is_said_and_never_guessed():
    family = Family(
        ("Mira", "Deneb", None),
        ("Deneb", None, None),
        ("Half", None, None),
        base={"Half": {1: Fraction(1, 2)}},
    )
    assert family.species("Deneb") == "species not recorded"
    assert family.species("Mira") == (
        "unknown: all of its ancestry came through Deneb, whose species is not recorded (1/2) and "
        "an unknown female (the dam of Mira) (1/2)"
    )
    assert family.species("Half") == "1/2 P. motoro expected; the last half is not recorded"


def test_possible_sires_that_do_not_make_one_leave_an_unknown_male():
    family = Family(
        ("Mira", {"Deneb": Fraction(1, 2), "Altair": Fraction(1, 4)}, "Vega"),
        *((name, None, None) for name in ("Deneb", "Altair", "Vega")),
        motoro=("Deneb", "Altair", "Vega"),
    )
    assert family.species("Mira") == (
        "7/8 P. motoro expected; the last eighth came through an unknown male (the sire of Mira)"
    )


# ------------------------------------------------------------------------------- known ancestry


def test_thirteen_of_fourteen_ancestors_and_the_one_that_is_missing():
    names = ["S", "D", "SS", "SD", "DS", "DD", *"abcdefg"]
    family = Family(
        ("Mira", "S", "D"),
        ("S", "SS", "SD"),
        ("D", "DS", "DD"),
        ("SS", "a", "b"),
        ("SD", "c", "d"),
        ("DS", "e", "f"),
        ("DD", None, "g"),
        *((name, None, None) for name in "abcdefg"),
    )
    assert len(names) == 13
    assert family.known("Mira") == (
        "13 of 14 possible ancestors in three generations are known; not known: the sire of DD"
    )


def test_an_animal_of_unknown_parents_says_so():
    family = Family(("Rigel", None, None), ("Mira", None, "Rigel"))
    assert family.known("Rigel") == (
        "0 of 14 possible ancestors in three generations are known; neither parent is known"
    )
    assert family.known("Mira") == (
        "1 of 14 possible ancestors in three generations is known; not known: the sire of Mira and "
        "the parents of Rigel"
    )


def test_those_from_the_wild_are_the_end_of_what_can_be_known_and_not_missing():
    """All 6 of 14 that there can be; of Spica, bought, somebody may know the parents."""
    family = Family(
        ("Mira", "Deneb", "Vega"),
        ("Deneb", "Rigel", "Spica"),
        ("Vega", None, None),
        ("Rigel", None, None),
        ("Spica", None, None),
        wild=("Vega", "Rigel"),
        elsewhere=("Spica",),
    )
    assert family.known("Mira") == (
        "4 of 14 possible ancestors in three generations are known; not known: the parents of "
        "Spica; nobody can know more beyond Vega and Rigel, wild caught"
    )


def test_a_possible_sire_counts_with_his_share():
    family = Family(
        ("Mira", {"Deneb": Fraction(1, 2)}, "Vega"), ("Deneb", None, None), ("Vega", None, None)
    )
    assert family.known("Mira") == (
        "about 2 of 14 possible ancestors in three generations are known, uncertain sires counted "
        "by their share; not known: the sire of Mira and the parents of Deneb and Vega"
    )


# ------------------------------------------------------------------------- origin and generation


def test_generations_in_captivity_count_from_the_wild():
    """1 with a parent from the wild, else one more than the smaller of the parents'."""
    family = Family(
        ("Lyra", "Mira", "Izar"),
        ("Mira", "Deneb", "Vega"),
        ("Deneb", "Altair", "Spica"),
        ("Izar", "Altair", None),
        *((name, None, None) for name in ("Altair", "Spica", "Vega")),
        wild=("Altair", "Spica"),
    )
    assert generation_in_captivity(family.ped, family.wild) == {
        "Altair": 0,
        "Spica": 0,
        "Deneb": 1,
        "Izar": 1,
        "Vega": None,
        "Mira": None,
        "Lyra": None,
    }


@pytest.mark.parametrize(
    ("generation", "said"),
    [
        (0, "wild caught"),
        (1, "first generation in captivity (a parent came from the wild)"),
        (2, "second generation in captivity"),
        (12, "12th generation in captivity"),
        (None, "generation in captivity unknown, because not every line is on record back to the "
         "wild"),
    ],
)  # fmt: skip
def test_a_generation_in_captivity_is_said_with_its_ground(generation, said):
    assert captivity_sentence(generation) == said


def test_possible_sires_of_unlike_generations_agree_on_that_of_their_young():
    """Dam of the first, sires of the first and second: 1 + the smaller is 2 either way."""
    half = Fraction(1, 2)
    family = Family(
        *((name, None, None) for name in ("W1", "W2", "W3", "W4")),
        ("Vega", "W1", "W2"),
        ("Deneb", "W3", "W4"),
        ("Mizar", "W3", "W2"),
        ("Rigel", "Deneb", "Mizar"),
        ("Mira", {"Deneb": half, "Rigel": half}, "Vega"),
        wild=("W1", "W2", "W3", "W4"),
    )
    found = generation_in_captivity(family.ped, family.wild)
    assert (found["Deneb"], found["Rigel"], found["Mira"]) == (1, 2, 2)


def test_origin_names_the_founders_by_where_they_come_from():
    family = Family(
        ("Mira", "Deneb", "Vega"),
        ("Deneb", "Altair", "Spica"),
        *((name, None, None) for name in ("Altair", "Spica", "Vega")),
        wild=("Altair", "Spica"),
        elsewhere=("Vega",),
    )
    assert origin_sentence(family.ped, "Mira", family.names) == (
        "born here; founders Altair and Spica wild caught, Vega captive bred elsewhere"
    )
    assert origin_sentence(family.ped, "Spica", family.names) == "wild caught"


def test_the_tree_is_told_in_sentences():
    family = Family(
        ("Mira", {"Deneb": Fraction(1, 4), "Altair": Fraction(3, 4)}, "Vega"),
        ("Deneb", "Altair", None),
        ("Altair", None, None),
        ("Vega", None, None),
    )
    assert tree_sentence(family.ped, "Mira", family.names) == (
        "Family tree of Mira over three generations. Mira: possible sires Altair and Deneb, dam "
        "Vega. Deneb: sire Altair, unknown dam."
    )
    assert tree_sentence(family.ped, "Vega", family.names) == (
        "Family tree of Vega: neither parent is known."
    )


def test_places_known_in_part_are_neither_none_nor_all():
    """A sire believed in by 1/25; and one place of fourteen short by a hundredth."""
    rows = [("a", None, None), ("m", {"a": Fraction(1, 25)}, None)]
    known = known_ancestors(Pedigree.from_rows(rows), "m", 3)
    assert known_words(known) == "less than 1 of 14 possible ancestors in three generations"
    founders = [(name, None, None) for name in "abcdefgh"]
    older = [("P", "a", "b"), ("Q", "c", "d"), ("R", "e", "f")]
    last = [("S", {"g": Fraction(99, 100)}, "h"), ("X", "P", "Q"), ("Y", "R", "S")]
    ped = Pedigree.from_rows([*founders, *older, *last, ("m", "X", "Y")])
    known = known_ancestors(ped, "m", 3)
    assert sum(one.known for one in known) == Fraction(1399, 100)
    assert known_words(known) == "more than 13 of 14 possible ancestors in three generations"


def test_more_than_the_largest_unknown_parts_are_summed_up():
    """Four founders of one grandparent generation, none with a species: 1/4 each."""
    founders = [(name, None, None) for name in "abcd"]
    family = Family(*founders, ("X", "a", "b"), ("Y", "c", "d"), ("m", "X", "Y"))
    assert family.species("m").endswith(
        "c, whose species is not recorded (1/4) and one more ancestor (1/4)"
    )


def test_a_generation_far_back_is_counted():
    assert generation_name(3) == "great-grandparents"
    assert generation_name(4) == "4 generations back"
