"""Loans brought in together are what the page makes of one after the other."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from breeding.animals.away.lent import Loan
from breeding.animals.models import Animal
from breeding.arrivals.models import LoanAgreement
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.placing import place
from breeding.pairings.models import Pairing
from breeding.program.frame.memory import for_one_request
from breeding.records.incoming.kinds.kind import Keeping
from breeding.records.incoming.kinds.table import KINDS
from tests import cast
from tests.cast import day
from tests.records.test_all_together import (
    DAYS,
    NOTES,
    NOW,
    TODAY,
    WRITES,
    become_alike,
    house,
    maybe,
)
from tests.records.test_sales_together import market, ward
from tests.tries import of_few_rows

pytestmark = pytest.mark.django_db

__all__ = ["house", "market", "ward"]
WRITES["loans"] = (LoanAgreement, Loan, Animal, Stay, Pairing)


def rows_of(ward: dict[str, Any], whom: str, *ends: Any) -> Any:
    return st.fixed_dictionaries(
        {
            "animal": st.sampled_from(ward[whom]),
            "direction": st.sampled_from(["out", "out", "in"]),
            "contact": st.sampled_from(ward["people"]),
            "since": DAYS | st.sampled_from([day("2026-05-16"), day("2026-06-21")]),
            "due_back_on": maybe(day("2026-02-20"), day("2026-06-30")),
            "back_on": st.sampled_from([None, None, *ends]),
            "young_owed": maybe(2, 99),
            "young_given": maybe(),
            "terms": NOTES,
        }
    )


def compared(ward: dict[str, Any], rows: list[Any]) -> list[Any]:
    told = become_alike("loans", rows, ward["owner"])
    return [[sentence for sentence, _ in doubts] for _, doubts, _ in told]


@given(data=st.data())
@of_few_rows(25)
def test_many_loans_are_one_loan_after_the_other(ward, data):
    rows = rows_of(ward, "animals", day("2026-04-14"), day("2026-05-15"))
    compared(ward, data.draw(st.lists(rows, min_size=1, max_size=9)))


@given(data=st.data())
@of_few_rows(20)
def test_those_who_may_be_in_quarantine_are_lent_one_after_the_other(ward, data):
    compared(ward, data.draw(st.lists(rows_of(ward, "kept"), min_size=2, max_size=5)))


def row(animal: Animal, contact: Any, on: str, direction: str = "out") -> Any:
    return {
        "animal": animal,
        "direction": direction,
        "contact": contact,
        "since": day(on),
        "due_back_on": None,
        "back_on": None,
        "young_owed": None,
        "young_given": None,
        "terms": None,
    }


def test_one_that_was_lent_before_falls_ill_elsewhere(ward):
    """Whoever shared its water is asked about by the days as they are without it."""
    navi, segin, *_ = ward["kept"]
    jo = ward["people"][0]
    last = row(navi, jo, "2026-05-10")
    assert compared(ward, [last]) == [
        [
            "Navi is in quarantine, 30 days from 14 April 2026, when Segin fell ill (spots or film "
            "on the skin), and is held until 14 May 2026. It is not to leave."
        ]
    ]
    [_, after] = compared(ward, [row(segin, jo, "2026-04-10"), last])
    assert after == [
        "Navi is in quarantine; its days were over on 19 April 2026, end it first. It is not to "
        "leave."
    ]


def test_queries_do_not_grow_with_rows(ward):
    """Each in a tank of its own, and every second with a quarantine that is over."""
    keeping = Keeping(ward["owner"], cast.program_now(), NOW, TODAY, "here")

    def queries(number: int) -> int:
        lent = [
            cast.ray(f"Lent {number} {n}", "M", born_on=day("2024-03-01")) for n in range(number)
        ]
        for n, one in enumerate(lent):
            tank = Tank.objects.create(name=f"Of {number}, {n}", volume_litres=900)
            place(one, tank, on=day("2026-02-01"), by=ward["owner"])
        rows = [row(one, ward["people"][0], f"2026-05-{1 + n:02d}") for n, one in enumerate(lent)]
        with for_one_request(), CaptureQueriesContext(connection) as found:
            kept = KINDS["loans"].keep_all(rows, keeping)
        assert all(one.record for one in kept)
        return len(found)

    few, many = queries(4), queries(24)
    assert many <= few + 2
