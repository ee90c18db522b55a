"""Explanations as sentences: kin by name, largest first, and nothing left out."""

import re
from fractions import Fraction

import pytest
from pedigree.words import (
    cross_words,
    explanation_sentences,
    known_sentence,
    percent,
    possible_sentence,
)

from pedigree import Pedigree, explain, known_ancestors, possible_inbreeding
from pedigree.bench import closed_line

ROWS = [
    ("Vega", None, None),
    ("Altair", None, None),
    ("Mira", "Altair", "Vega"),
    ("Deneb", "Altair", "Vega"),
    ("Spica", "Deneb", None),
    ("Rigel", "Deneb", "Mira"),
]


def said(sire, dam, **options):
    return explanation_sentences(explain(Pedigree.from_rows(ROWS), sire, dam), {}, **options)


def test_full_sibs_are_offspring_of_both():
    assert set(said("Deneb", "Mira")) == {
        "Deneb and Mira are both offspring of Altair: one line, one step on each side, 12.5 %.",
        "Deneb and Mira are both offspring of Vega: one line, one step on each side, 12.5 %.",
    }


def test_a_parent_as_mate_is_called_so():
    assert said("Altair", "Mira") == (
        "Altair is the parent of Mira: one line, one step from Mira, 25 %.",
    )


def test_unequal_sides_name_both_relations():
    assert (
        "Vega is the parent of Mira and a grandparent of Spica: one line, one step from Mira, "
        "two from Spica, 6.25 %."
    ) in said("Mira", "Spica")


def test_an_inbred_ancestor_is_said_to_be():
    rows = [*ROWS, ("a", "Rigel", None), ("b", "Rigel", None)]
    why = explain(Pedigree.from_rows(rows), "a", "b")
    assert explanation_sentences(why, {})[0].endswith("15.625 %; Rigel is inbred too, F 25 %.")


def test_unrelated_animals_have_no_known_ancestor():
    assert said("Altair", "Vega") == (
        "Altair and Vega have no common ancestor that is known: 0 %.",
    )


@pytest.mark.parametrize("longest", [None, 6])
def test_the_parts_said_make_up_the_whole(longest):
    ped = Pedigree.from_rows(closed_line(6, 2, 3, seed=3))
    why = explain(ped, (5, "m0"), (5, "f0"), longest=longest)
    sentences = explanation_sentences(why, {}, most=3)
    assert len(sentences) == (4 if longest is None else 5)
    assert re.match(r"\w+ more common ancestors? adds? .* together, by ", sentences[3].lower())
    rest = sum(one.path_count for one in why.ancestors[3:])
    assert f"by {rest:,} further line" in sentences[3] or rest <= 10
    parts = [float(re.search(r"([\d.]+) %", one.split(";")[0])[1]) for one in sentences]
    assert sum(parts) == pytest.approx(float(why.inbreeding) * 100, abs=0.3)
    assert parts[:3] == sorted(parts[:3], reverse=True)


def test_lines_through_an_uncertain_sire_are_possible_ones():
    rows = [("A", None, None), ("B", None, None), ("D", None, None)]
    rows += [("X", {"A": Fraction(1, 2), "B": Fraction(1, 2)}, "D"), ("Y", "A", None)]
    sentences = explanation_sentences(explain(Pedigree.from_rows(rows), "Y", "X"), {})
    assert sentences == (
        "Y and X may both descend from A: one possible line, one step on each side, "
        "expected 6.25 %.",
    )


def test_a_certain_line_stays_certain_beside_an_uncertain_sire():
    rows = [("A", None, None), ("B", None, None), ("D", None, None), ("X", None, "D")]
    rows += [("Y", {"A": Fraction(1, 2), "B": Fraction(1, 2)}, "D"), ("Z", "A", None)]
    sentences = explanation_sentences(explain(Pedigree.from_rows(rows), "X", "Y"), {})
    assert sentences == (
        "X and Y are both offspring of D: one line, one step on each side, 12.5 %.",
    )


def test_an_uncertain_sire_gives_a_range():
    ped = Pedigree.from_rows(ROWS)
    found = possible_inbreeding(ped, {"Deneb": Fraction(3, 4)}, "Mira")
    assert possible_sentence(found, {}) == (
        "Expected 18.75 %: from 0 % if another male is the sire to 25 % if it is Deneb."
    )


def test_what_is_known_is_counted():
    found = known_ancestors(Pedigree.from_rows(ROWS), "Spica", 3)
    assert known_sentence(found) == "3 of 14 possible ancestors in three generations are known."


def test_uncertain_sires_are_counted_by_their_share():
    rows = [("A", None, None), ("D", None, None), ("X", {"A": Fraction(1, 5)}, "D")]
    found = known_ancestors(Pedigree.from_rows(rows), "X", 1)
    assert known_sentence(found) == (
        "About 1 of 2 possible ancestors in one generation are known, "
        "uncertain sires counted by their share."
    )


def test_percent_is_never_rounded_to_nothing():
    assert percent(Fraction(1, 10**7)) == "less than 0.001 %"
    assert percent(0) == "0 %"
    assert percent(Fraction(9, 64)) == "about 14.1 %"
    assert percent(Fraction(3, 8)) == "37.5 %"


def test_an_undetermined_cross_is_said_to_be():
    assert cross_words(None, {}).startswith("no simple cross")
