"""Through whom young are inbred: kin by name, largest first, and nothing left out."""

import re
from fractions import Fraction

import pytest

from benchmarks.bench import closed_line
from breeding.words.descent.kin import closeness, figure_words
from breeding.words.descent.through.reasons import reason_sentences
from breeding.words.descent.who import Who
from breeding.words.style import PAGE
from pedigree import Pedigree, explain

HALF = Fraction(1, 2)
ROWS = [
    ("Vega", None, None),
    ("Altair", None, None),
    ("Mira", "Altair", "Vega"),
    ("Deneb", "Altair", "Vega"),
    ("Spica", "Deneb", None),
    ("Rigel", "Deneb", "Mira"),
]


SEXES = {"Altair": "M", "Deneb": "M", "Rigel": "M", "Vega": "F", "Mira": "F", "Spica": "F"}
NAMES = {name: Who(name, sex) for name, sex in SEXES.items()}


def said(sire, dam, rows=ROWS, **options):
    return reason_sentences(explain(Pedigree.from_rows(rows), sire, dam), NAMES, **options)


def test_full_sibs_have_both_their_parents_in_common():
    assert said("Deneb", "Mira") == (
        "Altair and Vega are the parents of both parents (together 25 %)",
    )


def test_a_page_sets_the_same_as_a_sentence_of_its_own():
    assert said("Deneb", "Mira", style=PAGE) == (
        "Altair and Vega are the parents of both parents (together 25 %).",
    )


def test_a_parent_as_mate_is_called_so():
    assert said("Altair", "Mira") == ("the sire, Altair, is also the sire of Mira (25 %)",)


def test_unequal_sides_name_both_relations():
    assert said("Deneb", "Spica") == ("the sire, Deneb, is also the sire of Spica (25 %)",)
    rows = [*ROWS, ("Nova", "Mira", None)]
    assert said("Deneb", "Nova", rows) == (
        "Altair and Vega are the parents of Deneb and grandparents of Nova (together 12.5 %)",
    )


def test_an_inbred_ancestor_is_said_to_be():
    rows = [*ROWS, ("a", "Rigel", None), ("b", "Rigel", None)]
    assert said("a", "b", rows) == (
        "Rigel is the sire of both parents, itself inbred (F 25 %) (15.63 %)",
    )


def test_unrelated_animals_have_no_reason():
    assert said("Altair", "Vega") == ()


def test_several_lines_to_one_ancestor_are_counted_with_their_lengths():
    """Two double first cousins' worth of lines: Altair's young Deneb and Mira on both sides."""
    rows = [*ROWS, ("x", "Deneb", "Mira"), ("y", "Deneb", "Mira"), ("z", "y", None)]
    (*_, last) = said("x", "z", rows)
    assert last.startswith("Altair and Vega are grandparents of x and great-grandparents of z, by")
    assert "by two lines of five steps in all for each" in last


@pytest.mark.parametrize("longest", [None, 6])
def test_the_parts_said_make_up_the_whole(longest):
    ped = Pedigree.from_rows(closed_line(6, 2, 3, seed=3))
    why = explain(ped, (5, "m0"), (5, "f0"), longest=longest)
    sentences = reason_sentences(why, {}, most=2)
    assert len(sentences) == (3 if longest is None else 4)
    assert re.match(r"\w+ more common ancestors? adds? .* %( together)?, by ", sentences[2])
    shares = [re.findall(r"([\d.]+) %(?! expected)", one)[-1] for one in sentences]
    parts = [float(share) for share in shares]
    assert sum(parts) == pytest.approx(float(why.inbreeding) * 100, abs=0.03)
    assert parts[:2] == sorted(parts[:2], reverse=True)
    if longest is not None:
        assert sentences[-1].startswith("longer lines add ")


def test_lines_through_an_uncertain_sire_are_possible_ones():
    rows = [("Altair", None, None), ("B", None, None), ("D", None, None), ("Y", "Altair", None)]
    rows += [("X", {"Altair": HALF, "B": HALF}, "D")]
    assert said("Y", "X", rows) == ("Altair may be the sire of both parents (6.25 % expected)",)


def test_a_male_who_may_have_sired_his_own_mate():
    rows = [("Altair", None, None), ("B", None, None), ("D", None, None)]
    rows += [("X", {"Altair": HALF, "B": HALF}, "D")]
    assert said("Altair", "X", rows) == (
        "the sire, Altair, may also be the sire of X (12.5 % expected)",
    )


def test_a_certain_line_stays_certain_beside_an_uncertain_sire():
    rows = [("A", None, None), ("B", None, None), ("Vega", None, None), ("X", None, "Vega")]
    rows += [("Y", {"A": HALF, "B": HALF}, "Vega"), ("Z", "A", None)]
    assert said("X", "Y", rows) == ("Vega is the dam of both parents (12.5 %)",)


def test_the_unknown_sire_of_litter_mates_is_named_by_them_and_last():
    rows = [("Vega", None, None), ("Deneb", None, "Vega", "l"), ("Mira", None, "Vega", "l")]
    assert said("Deneb", "Mira", rows) == (
        "Vega and the unknown sire of Deneb and Mira are the parents of both parents (together "
        "25 %)",
    )


@pytest.mark.parametrize(
    ("inbreeding", "said_of_it"),
    [
        (Fraction(1, 4), "as close as full siblings, or parent and young"),
        (Fraction(9, 64), "closer than half siblings"),
        (Fraction(1, 64), "as close as second cousins"),
        (Fraction(1, 1024), "less close than second cousins"),
        (0, "no common ancestor on record"),
    ],
)
def test_a_coefficient_is_compared_with_known_pairings(inbreeding, said_of_it):
    assert closeness(inbreeding) == said_of_it


def test_a_coefficient_has_its_fraction_while_that_is_short():
    assert figure_words(Fraction(3, 16)) == "18.75 % (3/16)"
    assert figure_words(9 / 64) == "14.06 % (9/64)"
    assert figure_words(Fraction(1, 1024)) == "0.1 %"
