"""Rows that are written one by one are bounded: the first ones come in, the others are named."""

import pytest

from breeding.records.incoming.kinds import kept
from breeding.records.incoming.kinds.kept import one_by_one

pytestmark = pytest.mark.django_db


def test_of_too_many_rows_the_first_are_tried_and_each_other_one_is_refused(monkeypatch):
    monkeypatch.setattr(kept, "MOST_ONE_BY_ONE", 2)
    monkeypatch.setattr(kept, "kept_alone", lambda keep, facts, keeping: kept.Kept(record=facts))
    found = one_by_one(lambda facts, keeping: None)([{"row": n} for n in range(5)], None)
    assert [one.record for one in found] == [{"row": 0}, {"row": 1}, None, None, None]
    assert [one.refusal is None for one in found] == [True, True, False, False, False]
    assert found[2].refusal.messages == [
        "Of rows like these at most 2 are brought in at once, and the table has 5: split it."
    ]
