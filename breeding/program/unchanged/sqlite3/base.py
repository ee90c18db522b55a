"""The connection: it compiles questions with ours, and sees what is written."""

import datetime
import sqlite3
from collections.abc import Callable
from functools import lru_cache
from typing import Any

from django.db.backends.sqlite3 import base, operations
from django.db.models.expressions import Col
from django.utils.dateparse import parse_date, parse_datetime

from breeding.program.unchanged.marks import Watch

MOST_DAYS = 5000  # of which each is read once, and kept once for all records that name it
DAY_ALONE = len("2026-03-01")  # a zone behind it would be read as its hour
READ_WHEN_FETCHED = ("BooleanField", "DateField", "DateTimeField")

_read_day = lru_cache(maxsize=MOST_DAYS)(parse_date)


def _read_moment(told: bytes) -> datetime.datetime | None:
    """As stored, which is in UTC, and said to be."""
    text = told.decode()
    if len(text) > DAY_ALONE:
        try:
            return datetime.datetime.fromisoformat(text + "+00:00")
        except ValueError:
            pass  # of a stranger who wrote its zone to it
    found = parse_datetime(text)
    return found.replace(tzinfo=datetime.UTC) if found and not found.tzinfo else found


# In place of Django's, which read each day anew and leave the zone of moments to a second step.
sqlite3.register_converter(
    "date", lru_cache(maxsize=MOST_DAYS)(lambda told: _read_day(told.decode()))
)
sqlite3.register_converter("datetime", _read_moment)


class DatabaseOperations(operations.DatabaseOperations):
    compiler_module = "breeding.program.unchanged.sqlite3.compiler"

    def get_db_converters(self, expression: Any) -> list[Callable[..., Any]]:
        """None for the days, moments and yes or no of a column, which are read when fetched."""
        if isinstance(expression, Col) and self.connection.timezone is datetime.UTC:
            kind = expression.output_field.get_internal_type()
            if kind in READ_WHEN_FETCHED and expression.target.get_internal_type() == kind:
                return []
        return super().get_db_converters(expression)

    def convert_datefield_value(
        self, value: Any, expression: Any, connection: Any
    ) -> datetime.date | None:
        """As Django does, which reads the same day anew for each row."""
        return _read_day(value) if isinstance(value, str) else value

    def convert_datetimefield_value(
        self, value: Any, expression: Any, connection: Any
    ) -> datetime.datetime | None:
        """As Django does, which asks more than once whether it has a zone."""
        if type(value) is datetime.datetime and value.tzinfo:
            return value
        found: datetime.datetime | None = super().convert_datetimefield_value(
            value, expression, connection
        )
        return found


class DatabaseWrapper(base.DatabaseWrapper):
    ops_class = DatabaseOperations

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.execute_wrappers.append(Watch(self))
