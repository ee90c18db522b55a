"""The connection: it compiles questions with ours, and sees what is written."""

from typing import Any

from django.db.backends.postgresql import base, operations

from breeding.program.unchanged.marks import Watch


class DatabaseOperations(operations.DatabaseOperations):
    compiler_module = "breeding.program.unchanged.postgresql.compiler"


class DatabaseWrapper(base.DatabaseWrapper):
    ops_class = DatabaseOperations

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.execute_wrappers.append(Watch(self))
