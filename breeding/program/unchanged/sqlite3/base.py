"""The connection: it compiles questions with ours, and sees what is written."""

import datetime
from functools import lru_cache
from typing import Any

from django.db.backends.sqlite3 import base, operations
from django.utils.dateparse import parse_date

from breeding.program.unchanged.marks import Watch

MOST_DAYS = 5000  # of which each is read once, and kept once for all records that name it

_read_day = lru_cache(maxsize=MOST_DAYS)(parse_date)


class DatabaseOperations(operations.DatabaseOperations):
    compiler_module = "breeding.program.unchanged.sqlite3.compiler"

    def convert_datefield_value(
        self, value: Any, expression: Any, connection: Any
    ) -> datetime.date | None:
        """As Django does, which reads the same day anew for each row."""
        return _read_day(value) if isinstance(value, str) else value

    def convert_datetimefield_value(
        self, value: Any, expression: Any, connection: Any
    ) -> datetime.datetime | None:
        """As Django does, which takes three times as long where moments are stored in UTC."""
        if type(value) is datetime.datetime and self.connection.timezone is datetime.UTC:
            return value if value.tzinfo else value.replace(tzinfo=datetime.UTC)
        found: datetime.datetime | None = super().convert_datetimefield_value(
            value, expression, connection
        )
        return found


class DatabaseWrapper(base.DatabaseWrapper):
    ops_class = DatabaseOperations

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.execute_wrappers.append(Watch(self))
