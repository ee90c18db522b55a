"""A chronicle as a line: its rows, its marks on their days, and the words for who does not see."""

import datetime
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.line import line_of
from tests import cast
from tests.cast import day

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 11, 20)
ALL = Asked(TODAY, may_write=True)


def rows(asked=ALL, year=2026, years=(2026,)):
    found = line_of(asked, year=year, years=years)
    return {row.kind.key: [(str(mark.on), mark.number) for mark in row.marks] for row in found.rows}


def test_each_kind_has_its_days_in_order_and_several_of_a_day_are_one_mark(owner):
    for name in ("Vega", "Mira"):
        cast.female(name, born_on=day("2026-03-01"))
    cast.female("Izar", born_on=day("2026-01-15"))
    cast.female("Spica", born_on=day("2025-01-15"))
    assert rows()["born"] == [("2026-01-15", 1), ("2026-03-01", 2)]


def test_a_day_stands_where_it_lies_in_the_year(owner):
    cast.female("Vega", born_on=day("2026-07-02"))  # the 183rd of 365 days
    found = line_of(ALL, year=2026, years=[2026])
    ((mark,),) = (row.marks for row in found.rows if row.kind.key == "born")
    assert mark.along == round(100 * 182 / 365, 2)
    assert [tick.words for tick in found.ticks][:2] == ["Jan", "Feb"]
    assert found.ticks[6].along < mark.along < found.ticks[7].along
    assert found.today == round(100 * 323 / 365, 2)


def test_a_year_of_which_nothing_is_told_has_no_line(owner):
    cast.female("Vega", born_on=day("2026-07-02"))
    assert line_of(ALL, year=2019, years=[2026]) is None


def test_an_animal_s_line_goes_over_all_its_years(owner):
    vega = cast.female("Vega", born_on=day("2020-07-02"))
    cast.female("Other", born_on=day("2020-08-02"))
    asked = Asked(TODAY, may_write=True, animals=(vega,))
    found = line_of(asked, year=None, years=[2026, 2025, 2024, 2023, 2022, 2021, 2020])
    assert (found.first.year, found.last.year) == (2020, 2026)
    assert [tick.words for tick in found.ticks] == [str(year) for year in range(2020, 2027)]
    assert rows(asked, None, [2026, 2020])["born"] == [("2020-07-02", 1)]


def test_the_page_draws_the_marks_and_says_the_days(owner, as_viewer):
    year = datetime.date.today().year
    cast.female("Vega", born_on=datetime.date(year, 1, 2))
    page = as_viewer.get(reverse("records:chronicle")).content.decode()
    (line,) = re.findall(r'<section class="time-line".*?</section>', page, re.DOTALL)
    assert 'class="born"' in line
    assert f"2 Jan {year}" in line
    assert "Vega" in page  # the words are still there


def test_the_line_asks_no_more_for_more_records(owner):
    def asked():
        with CaptureQueriesContext(connection) as queries:
            line_of(ALL, year=2026, years=[2026])
        return len(queries)

    cast.female("Vega", born_on=day("2026-07-02"))
    before = asked()
    for number in range(10):
        cast.female(f"P{number}", born_on=day(f"2026-08-{number + 1:02}"))
    assert asked() == before == 1
