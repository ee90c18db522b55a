"""Rows that are written one by one are bounded: the first ones come in, the others are named."""

from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from breeding.program.frame.memory import for_one_request, remembered_while_reading
from breeding.records.incoming import trial
from breeding.records.incoming.kinds import kept
from breeding.records.incoming.kinds.kept import without_frames
from tests import cast
from tests.records.one_row import one_by_one

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


def test_a_trial_leaves_nothing_known_to_the_page_that_asked_for_it(owner, monkeypatch):
    asked = []

    def read(draft, keeping):
        for n in (1, 2):
            asked.append(remembered_while_reading("of a row on trial", lambda n=n: n))

    monkeypatch.setattr(trial, "_all_rows", read)
    now, draft = timezone.now(), SimpleNamespace(usual_state="here")
    with for_one_request(only_reads=True):
        trial.try_out(draft, program=cast.program_now(), now=now, today=now.date())
        assert remembered_while_reading("of a row on trial", lambda: 3) == 3
    assert asked == [1, 2]


def test_what_refused_a_row_holds_nothing_of_where_it_was_raised():
    try:
        try:
            raise KeyError("inner")
        except KeyError:
            raise ValidationError("outer") from None
    except ValidationError as problem:
        refusal = without_frames(problem)
    assert (refusal.__traceback__, refusal.__context__) == (None, None)
    assert refusal.messages == ["outer"]


def test_a_run_ends_before_a_row_of_its_own_and_before_the_same_key_again(monkeypatch):
    monkeypatch.setattr(kept, "MOST_ONE_BY_ONE", 1)
    monkeypatch.setattr(kept, "kept_alone", lambda keep, facts, keeping: kept.Kept(record=facts))
    runs = []

    def together(run, keeping):
        runs.append([one["row"] for one in run])
        return [kept.Kept(record=one) for one in run]

    rows = [{"row": n, "who": who} for n, who in enumerate(["a", "b", "a", "-", "c", "-"])]
    found = kept.in_runs(
        rows,
        None,
        is_plain=lambda facts: facts["who"] != "-",
        key=lambda facts: facts["who"],
        together=together,
        alone=kept.ByItself(lambda facts, keeping: None, len(rows)),
    )
    assert runs == [[0, 1], [2], [4]]
    assert [one.record for one in found] == [*rows[:5], None]
    assert found[5].refusal is not None
