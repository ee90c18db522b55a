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


def rows_and(*more):
    return Pedigree.from_rows([*ROWS, *more])


def test_every_parent_counts_once_for_each_of_its_young_that_bred():
    # A second daughter of the first pair, born at 9 and bred: ages 9 and 8 beside 5 and 4.
    ped = rows_and(("Rigel", "Altair", "Vega"), ("Adhara", None, "Rigel"))
    found = generation_interval(ped, BORN | {"Rigel": 9.0}, SEX | {"Rigel": "F"})
    assert (found.sire_to_daughter.years, found.sire_to_daughter.pairs) == (7.0, 2)
    assert (found.dam_to_daughter.years, found.dam_to_daughter.pairs) == (6.0, 2)
    assert (found.sire_to_son.years, found.sire_to_son.pairs) == (3.0, 1)
    # The plain mean of the four paths, not of the pairs.
    assert found.mean_years == (3 + 7 + 2 + 6) / 4


def test_a_path_without_a_pair_is_left_out_of_the_mean():
    found = generation_interval(Pedigree.from_rows(ROWS), BORN, {"Mira": "F"})
    assert [path.years for path in found.paths] == [None, 5.0, None, 4.0]
    assert [path.pairs for path in found.paths] == [0, 1, 0, 1]
    assert found.mean_years == 4.5


@pytest.mark.parametrize("unsaid", [{}, {"Deneb": ""}, {"Deneb": "U"}])
def test_young_of_unknown_sex_are_on_no_path(unsaid):
    found = generation_interval(Pedigree.from_rows(ROWS), BORN, unsaid)
    assert [path.pairs for path in found.paths] == [0, 0, 0, 0]


def test_a_parent_without_a_day_of_birth_is_left_out_and_the_other_counts():
    born = {name: at for name, at in BORN.items() if name != "Altair"}
    found = generation_interval(Pedigree.from_rows(ROWS), born, SEX)
    assert [path.years for path in found.paths] == [None, None, 2.0, 4.0]
    born = {name: at for name, at in BORN.items() if name != "Mira"}
    found = generation_interval(Pedigree.from_rows(ROWS), born, SEX)
    assert [path.years for path in found.paths] == [3.0, None, 2.0, None]


def test_a_sire_that_is_one_of_two_has_no_age_of_his_own():
    either = {"Altair": 0.5, "Deneb": 0.5}
    ped = rows_and(("Rigel", either, "Vega"), ("Adhara", None, "Rigel"))
    found = generation_interval(ped, BORN | {"Rigel": 9.0}, SEX | {"Rigel": "F"})
    assert (found.sire_to_daughter.years, found.sire_to_daughter.pairs) == (5.0, 1)
    assert (found.dam_to_daughter.years, found.dam_to_daughter.pairs) == (6.0, 2)


def test_one_who_is_only_a_possible_sire_counts_among_those_that_bred():
    rows = [*ROWS[:3], ("Alya", {"Deneb": 0.5, "Altair": 0.5}, None)]
    born = {name: BORN[name] for name, *_ in rows}
    found = generation_interval(Pedigree.from_rows(rows), born, SEX)
    assert (found.sire_to_son.years, found.dam_to_son.years) == (3.0, 2.0)


def test_one_who_is_a_dam_only_counts_among_those_that_bred():
    rows = [ROWS[0], ROWS[1], ROWS[3], ("Alya", None, "Mira")]
    born = {name: BORN[name] for name, *_ in rows}
    found = generation_interval(Pedigree.from_rows(rows), born, SEX)
    assert (found.sire_to_daughter.years, found.dam_to_daughter.years) == (5.0, 4.0)


def test_a_parent_of_under_a_year_is_older_all_the_same():
    found = generation_interval(Pedigree.from_rows(ROWS), BORN | {"Deneb": 1.5}, SEX)
    assert (found.sire_to_son.years, found.dam_to_son.years) == (1.5, 0.5)
