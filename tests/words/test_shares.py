"""Species in sentences: the cross or why it has no name, and how far single animals lie from it."""

from fractions import Fraction

import pytest

from breeding.words.descent.shares import descent_words, shares_words, spread_words
from breeding.words.style import PAGE
from pedigree import Pedigree, composition, crosses, spread_of, why_no_cross

SPECIES = {1: "P. motoro", 2: "P. leopoldi", 3: "P. henlei"}
HALF = Fraction(1, 2)
PURE = {name: {number: Fraction(1)} for number, name in enumerate("MLH", start=1)}
FOUNDERS = [(name, None, None) for name in "MLH"]


class Cross:
    """An animal X of these rows, whose founders are M, L and H, each pure of its species."""

    def __init__(self, *rows, base=None):
        self.ped = Pedigree.from_rows([*FOUNDERS, *rows])
        self.base = PURE | (base or {})
        self.shares = composition(self.ped, self.base)
        self.kinds = crosses(self.ped, self.base)

    @property
    def kind(self):
        why = why_no_cross(self.ped, self.base, self.shares, self.kinds, "X")
        return descent_words(self.kinds["X"], why, self.shares["X"], SPECIES)

    @property
    def found(self):
        return spread_of(self.ped, self.base, self.shares, self.kinds, "X")

    @property
    def spread(self):
        return spread_words(self.found, SPECIES).words


F1 = ("F", "M", "L")
OTHER_F1 = ("G", "M", "L")


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([("X", "M", None)], "whether pure or crossed is not known: 1/2 of the ancestry is "
         "unknown"),
        ([("X", None, None)], "whether pure or crossed is not known: no species is known"),
        ([F1, ("X", "F", None)], "a hybrid, of which species is not known: 1/2 of the ancestry is "
         "unknown"),
        ([("X", "M", "L")], "F1 of P. motoro and P. leopoldi"),
        ([F1, ("X", "M", "F")], "first backcross of P. motoro and P. leopoldi to P. motoro"),
        ([F1, ("X", "H", "F")], "a cross that has no short name such as F2 or backcross"),
        ([("X", {"M": HALF, "L": HALF}, "M")], "a hybrid, of which species is not known: a "
         "sire may be of one species or another"),
        ([("Y", {"M": HALF, "L": HALF}, "M"), ("X", "M", "Y")], "a hybrid, of which species is "
         "not known: a sire may be of one species or another"),
    ],
)  # fmt: skip
def test_a_cross_without_a_name_says_whether_it_has_none_or_is_not_known(rows, said):
    assert Cross(*rows).kind == said


def test_a_founder_on_record_as_mixed_leaves_the_kind_not_known():
    mixed = Cross(("D", None, None), ("X", "D", "M"), base={"D": {1: HALF, 2: HALF}})
    assert mixed.kind == "a hybrid, of which species is not known: a founder is on record as mixed"


@pytest.mark.parametrize(
    ("rows", "kind"),
    [
        ([("X", "M", "M")], None),
        ([("X", None, None)], None),
        ([("X", "M", "L")], "settled"),
        ([("X", "M", None)], "unknown"),
        ([("X", {"M": HALF, "L": HALF}, "M")], "uncertain"),
        ([F1, ("X", "F", "M")], "varies"),
        ([F1, ("X", "F", "H")], "varies"),
    ],
)
def test_a_spread_is_of_one_of_four_kinds(rows, kind):
    found = Cross(*rows).found
    assert (found and found.kind) == kind


def test_possible_sires_of_one_pure_species_are_settled():
    rows = [("N", None, None), F1, ("X", {"M": HALF, "N": HALF}, "F")]
    assert Cross(*rows, base={"N": {1: Fraction(1)}}).found.kind == "varies"


def test_an_f2_varies_by_two_gametes():
    """Franklin 1977: (1 + exp(-2))/8/32 a gamete, half of that in an F2; two deviations 9.4."""
    words = Cross(F1, OTHER_F1, ("X", "F", "G")).spread
    assert words == (
        "single animals differ: of 100 animals bred like this about 95 have between 41 % and 59 % "
        "P. leopoldi"
    )


def test_a_later_backcross_has_an_upper_limit():
    words = Cross(F1, ("B", "M", "F"), ("X", "M", "B")).spread
    assert "about 95 or more have between " in words


def test_a_page_sets_spread_and_assumption_as_sentences_of_their_own():
    found = spread_words(Cross(F1, ("X", "M", "F")).found, SPECIES, PAGE)
    assert found.words.startswith("Single animals differ: ")
    assert found.words.endswith(" P. motoro.")
    assert found.assumed.startswith("At 50 % of the genes one copy of each is expected; ")
    assert found.assumed.endswith("nobody has published a map for these species.")


def test_shares_in_short_name_the_unknown_part_last():
    shares = {None: Fraction(1, 4), 2: HALF, 1: Fraction(1, 4)}
    assert shares_words(shares, SPECIES) == "1/2 P. leopoldi, 1/4 P. motoro, 1/4 unknown"
    assert shares_words({None: Fraction(1)}, SPECIES) == "unknown"
