"""What is said of young of two species, or of species that are not known."""

from fractions import Fraction

import pytest

from breeding.animals.models import Animal
from breeding.planning.crosses import could_be_said, mixed_said, nothing_says_hybrids

pytestmark = pytest.mark.one_database("shares become words")
HALF = Fraction(1, 2)
PURE, OTHER = {1: Fraction(1)}, {2: Fraction(1)}
IN_PART, HYBRID = {1: HALF, None: HALF}, {1: HALF, 2: HALF}
MAY_BE = "they are not known to be of one species: their young may be hybrids"


@pytest.mark.parametrize(
    ("hers", "his", "said"),
    [
        (PURE, PURE, ""),
        ({}, {}, ""),
        ({}, {None: Fraction(1)}, ""),
        (PURE, {}, MAY_BE),
        ({}, PURE, MAY_BE),
        (PURE, IN_PART, MAY_BE),
        (IN_PART, IN_PART, MAY_BE),
        (PURE, OTHER, "they are of two species: their young are hybrids"),
        (PURE, HYBRID, "Deneb is a hybrid, and so are the young"),
        (HYBRID, HYBRID, "both are hybrids, and so are their young"),
    ],
)
def test_hybrids_are_said_where_anything_on_record_says_so(hers, his, said):
    mira, deneb = Animal(pk=1, call_name="Mira"), Animal(pk=2, call_name="Deneb")
    assert mixed_said(mira, deneb, {1: hers, 2: his}) == said
    assert nothing_says_hybrids(hers, his) is not bool(said)


@pytest.mark.parametrize(
    ("on_record", "could_be", "said"),
    [
        (0.0, 0.125, "F of young of Deneb could be up to 12.5 %."),
        (0.125, 0.125, ""),
        (0.25, 0.125, ""),
        (0.125, 0.1250001, ""),
    ],
)
def test_what_f_could_be_is_said_where_it_reads_as_more(on_record, could_be, said):
    assert could_be_said(Animal(pk=2, call_name="Deneb"), on_record, could_be) == said
