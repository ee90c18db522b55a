"""The four paths of the generation interval; values by own arithmetic."""

import pytest

from pedigree import LineageError, Pedigree, UnknownAnimal
from pedigree.figures.generation_interval import generation_interval

ROWS = [
    ("Altair", None, None),
    ("Vega", None, None),
    ("Deneb", "Altair", "Vega"),
    ("Mira", "Altair", "Vega"),
    ("Alya", "Deneb", "Mira"),
]
BORN = {"Altair": 0.0, "Vega": 1.0, "Deneb": 3.0, "Mira": 5.0, "Alya": 8.0}
SEX = {"Deneb": "M", "Mira": "F", "Alya": "F"}


def test_only_young_that_bred_count():
    found = generation_interval(Pedigree.from_rows(ROWS), BORN, SEX)
    assert [path.years for path in found.paths] == [3.0, 5.0, 2.0, 4.0]
    assert found.mean_years == 3.5


def test_all_young_count_when_asked_for():
    found = generation_interval(Pedigree.from_rows(ROWS), BORN, SEX, only_breeders=False)
    assert (found.sire_to_daughter.years, found.sire_to_daughter.pairs) == (5.0, 2)
    assert (found.dam_to_daughter.years, found.dam_to_daughter.pairs) == (3.5, 2)


def test_without_dates_nothing_is_said():
    found = generation_interval(Pedigree.from_rows(ROWS), {}, SEX)
    assert found.mean_years is None
    assert [path.pairs for path in found.paths] == [0, 0, 0, 0]


def test_a_parent_no_older_than_its_young_is_named():
    with pytest.raises(LineageError, match="'Altair' is recorded as no older than its young"):
        generation_interval(Pedigree.from_rows(ROWS), BORN | {"Altair": 3.0}, SEX)


def test_a_birth_of_nobody_is_refused():
    with pytest.raises(UnknownAnimal):
        generation_interval(Pedigree.from_rows(ROWS), {"Rigel": 1.0}, SEX)
