"""Quarantines brought in together are what the page makes of one after the other."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breeding.animals.models import Animal
from breeding.health.models import Quarantine
from tests import cast
from tests.cast import day
from tests.records.test_all_together import DAYS, become_alike, house, maybe
from tests.records.test_sales_together import market, ward
from tests.tries import of_few_rows

pytestmark = pytest.mark.django_db

__all__ = ["house", "market", "ward"]


@pytest.fixture
def kept(ward: dict[str, Any]) -> list[Animal]:
    """In tanks for it, by word, in none, one that left, and one that died with one open by word."""
    gone = cast.ray("Gone", "M", state="left", state_on=day("2026-05-20"))
    died = cast.ray("Died", "F", state="died", state_on=day("2026-05-20"))
    Quarantine.objects.create(animal=died, since=day("2026-03-01"))
    return [*ward["kept"][:4], ward["animals"][0], gone, died]


def compared(kept: list[Animal], owner: Any, rows: list[Any]) -> list[Any]:
    told = become_alike("quarantines", rows, owner)
    return [refused for *_, refused in told]


@given(data=st.data())
@of_few_rows(40)
def test_many_quarantines_are_one_after_the_other(kept, owner, data):
    rows = st.fixed_dictionaries(
        {
            "animal": st.sampled_from(kept),
            "since": DAYS,
            "least_days": maybe(30),
            "ended_on": maybe(None, day("2026-03-13"), day("2026-06-10")),
            "result": maybe("clear", "cut_short"),
            "note": maybe(" thin "),
        }
    )
    compared(kept, owner, data.draw(st.lists(rows, min_size=2, max_size=9)))


def row(animal: Animal, since: str, ended_on: str | None = None) -> Any:
    return {
        "animal": animal,
        "since": day(since),
        "least_days": None,
        "ended_on": day(ended_on) if ended_on else None,
        "result": "clear" if ended_on else None,
        "note": None,
    }


def test_a_second_one_that_goes_on_is_refused_by_the_first_of_the_table(kept, owner):
    """Also of one that died, of whom only the database knows it: it is in no quarantine today."""
    mira, gone = kept[4], kept[5]
    already = "Mira has been in quarantine since 12 April 2026 already; end that first."
    rows = [
        row(mira, "2026-02-12", "2026-03-13"),
        row(mira, "2026-04-12"),
        row(mira, "2026-05-15"),
        row(gone, "2026-04-14"),
        row(gone, "2026-05-15"),
    ]
    open_already = {"animal": ["This animal is in quarantine already; end that first."]}
    assert compared(kept, owner, rows) == [
        {},
        {},
        {},
        {"animals": [already]},
        open_already,
    ]
