"""A value becomes a cell and comes back exactly; no cell is run by a spreadsheet."""

import csv
import datetime
import io
import re
from decimal import Decimal

import pytest
from django.db import models
from hypothesis import given, settings
from hypothesis import strategies as some

from breeding.program.fields import ShareField
from breeding.program.lists.spreadsheets import RUNS, harmless
from breeding.records.archive.cells import CellError, read, written
from breeding.records.archive.columns import columns_of
from breeding.records.archive.kinds import KINDS, by_label
from tests.tries import tries


def alike(one) -> tuple[object, ...]:
    """What two columns have in common whose cells are written and read alike."""
    field, stored = one.field, one.stored
    return type(stored), field.null, field.blank, field.max_length, str(field.flatchoices)


# Of all columns whose cells are written and read alike, one.
COLUMNS = list(
    {alike(one): one for kind in KINDS for one in columns_of(kind) if not one.names_a_kind}.values()
)
NUMBER = re.compile(r"-?\d+(\.\d+)?(e[+-]?\d+)?")
LETTERS = some.characters(exclude_characters="\0", exclude_categories=["Cs"])
ODD = ["=1+1", "'", "''", "'=1", "-0.5", "+49 30", "@x", "\tx", "\rx", '"', "a\r\nb"]
TEXTS = some.text(LETTERS, max_size=40) | some.sampled_from(ODD)


def column(label: str, name: str):
    return next(one for one in columns_of(by_label()[label]) if one.name == name)


def of_the_type(one):
    """Values that may stand in a column."""
    field = one.stored
    if one.field.flatchoices:
        values = some.sampled_from([choice for choice, _ in one.field.flatchoices])
    elif isinstance(field, models.JSONField):
        values = some.recursive(
            some.none() | some.booleans() | some.integers() | TEXTS,
            lambda inner: some.lists(inner) | some.dictionaries(TEXTS, inner),
            max_leaves=5,
        ).filter(lambda value: value is not None)
    elif isinstance(field, models.BooleanField):
        values = some.booleans()
    elif isinstance(field, models.DateTimeField):
        values = some.datetimes(timezones=some.just(datetime.UTC))
    elif isinstance(field, models.DateField):
        values = some.dates()
    elif isinstance(field, models.FloatField):
        values = some.floats(allow_nan=False, allow_infinity=False)
    elif isinstance(field, models.DecimalField):
        most = 10 ** (field.max_digits - field.decimal_places) - 1
        values = some.decimals(0, most, places=field.decimal_places).filter(
            lambda value: _holds(field, value)
        )
    elif isinstance(field, models.IntegerField):
        values = some.integers(1, 2**15 - 1)
    elif isinstance(field, models.UUIDField):
        values = some.uuids()
    elif isinstance(field, ShareField):
        values = some.fractions(0, 1, max_denominator=10**6)
    elif isinstance(field, models.GenericIPAddressField):
        values = some.just("127.0.0.1")
    else:
        longest = field.max_length or 40
        values = TEXTS.map(lambda text: text[:longest])
    return values | some.none() if one.field.null else values


def _holds(field, value) -> bool:
    try:
        field.run_validators(value)
    except Exception:
        return False
    return True


@pytest.mark.parametrize("one", COLUMNS, ids=lambda one: f"{one.kind.name}.{one.name}")
def test_a_cell_comes_back_as_the_value_it_was(one):
    @settings(max_examples=tries(40))
    @given(of_the_type(one))
    def check(value):
        cell = written(one, value)
        assert read(one, through_a_file(cell)) == value
        assert not cell.startswith(RUNS[:-1]) or NUMBER.fullmatch(cell), cell

    check()


def through_a_file(cell: str) -> str:
    out = io.StringIO(newline="")
    csv.writer(out).writerow([cell, "beside"])
    ((back, _),) = csv.reader(io.StringIO(out.getvalue(), newline=""), strict=True)
    return back


@given(TEXTS)
def test_no_text_is_run_and_no_two_become_one(text):
    assert not harmless(text).startswith(RUNS[:-1])
    assert harmless(text) in (text, f"'{text}")
    assert harmless(harmless(text)) != harmless(text) or not text.startswith(RUNS)


@pytest.mark.parametrize(
    ("label", "name", "value", "cell"),
    [
        ("animals.Animal", "call_name", "=HYPERLINK(1)", "'=HYPERLINK(1)"),
        ("animals.Animal", "call_name", "'Mira'", "''Mira'"),
        ("animals.Animal", "call_name", "Mira", "Mira"),
        ("animals.Animal", "call_name", "", ""),
        ("animals.Animal", "born_on", None, ""),
        ("animals.Animal", "born_on", datetime.date(2026, 3, 31), "2026-03-31"),
        ("housing.WaterRange", "least", -0.5, "-0.5"),
        ("housing.WaterTest", "ph", Decimal("7.20"), "7.20"),
        ("auditlog.LogEntry", "cid", None, ""),
        ("auditlog.LogEntry", "cid", "", "'"),
        ("auditlog.LogEntry", "changes", {"b": 1, "a": "é"}, '{"a": "é", "b": 1}'),
        ("program.Program", "is_demo", True, "yes"),
        (
            "pairings.Sighting",
            "seen_at",
            datetime.datetime(
                2026, 3, 31, 20, tzinfo=datetime.timezone(datetime.timedelta(hours=2))
            ),
            "2026-03-31T18:00:00+00:00",
        ),
    ],
)
def test_a_value_is_written_so(label, name, value, cell):
    assert written(column(label, name), value) == cell


@pytest.mark.parametrize(
    ("label", "name", "cell", "why"),
    [
        ("animals.Animal", "born_on", "31.3.2026", "it is no day, like 2026-03-31"),
        ("animals.Animal", "code", "x" * 200, "at most"),
        ("animals.Animal", "state", "asleep", "allowed are here, "),
        ("animals.Animal", "id", "", "something must stand there"),
        ("animals.Animal", "id", "9" * 19, "it is out of range"),
        ("animals.Animal", "id", "one", "it is no whole number"),
        ("animals.PossibleSire", "share", "3/2", "it is more than 1"),
        ("animals.PossibleSire", "share", "", "something must stand there"),
        ("pairings.Sighting", "seen_at", "2026-03-31T18:00:00", "it has no offset"),
        ("pairings.Scan", "positive", "1", "it is no yes or no"),
        ("housing.WaterRange", "least", "nan", "it is no number"),
        ("housing.WaterTest", "ph", "123456.7", "digits"),
        ("planning.LookAhead", "result", "{", "it is no JSON"),
        ("planning.LookAhead", "result", '{"a": NaN}', "it is no JSON"),
        ("animals.Animal", "note", "a\0b", "a character that no text has"),
    ],
)
def test_what_cannot_stand_in_a_cell_is_refused_in_words(label, name, cell, why):
    with pytest.raises(CellError, match=re.escape(why)):
        read(column(label, name), cell)


@pytest.mark.django_db
def test_the_history_names_the_file_of_what_was_changed():
    of_file = column("auditlog.LogEntry", "of_file")
    for name in ("animals", "water_tests", "sessions.session"):
        assert written(of_file, read(of_file, name)) == name
    with pytest.raises(CellError, match="no file of an archive is called “nobody”"):
        read(of_file, "nobody")
