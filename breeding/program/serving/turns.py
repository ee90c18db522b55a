"""Of several server processes on one PostgreSQL: which one does what is to be done once."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import DatabaseError, InterfaceError, connection
from django.db.backends.base.base import BaseDatabaseWrapper

MINUTE = 0x7261_7977_6172_6401  # who does the minute's work
BEGINNING = 0x7261_7977_6172_6402  # who brings the database and the static files up to date


class Turn:
    """Whoever asks first has it until it ends, or its line to the database breaks.

    Held on a line of its own (an advisory lock of a session), so that PostgreSQL itself gives it
    back when a process is killed, and the next that asks goes on. SQLite is used by one server
    alone, which always has it.
    """

    def __init__(self, number: int) -> None:
        self.number = number
        self._line: BaseDatabaseWrapper | None = None

    def is_mine(self) -> bool:
        """Whether this process has the turn; asked as often as one likes."""
        if connection.vendor != "postgresql":
            return True
        try:
            if self._line is None:
                self._line = connection.copy()
            with self._line.cursor() as cursor:
                cursor.execute("SELECT pg_try_advisory_lock(%s)", [self.number])
                (is_mine,) = cursor.fetchone()
        except (DatabaseError, InterfaceError):
            self.give_up()  # asked again on a new line the next time
            return False
        return bool(is_mine)

    def give_up(self) -> None:
        """Let somebody else have it."""
        line, self._line = self._line, None
        if line is not None:
            line.inc_thread_sharing()  # whoever stops the server does so from another thread
            line.close()


@contextmanager
def one_after_the_other(number: int) -> Iterator[None]:
    """Wait for others that do the same, in whatever process; then they wait for this one."""
    if connection.vendor != "postgresql":
        yield
        return
    line = connection.copy()
    try:
        with line.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_lock(%s)", [number])
        yield
    finally:
        line.close()
