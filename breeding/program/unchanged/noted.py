"""Which tables are read while something is reckoned that is to be kept."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_noted: ContextVar[set[str] | None] = ContextVar("tables_read", default=None)


@contextmanager
def noting() -> Iterator[set[str]]:
    """Which tables are read meanwhile; "" among them where that cannot be said."""
    found: set[str] = set()
    token = _noted.set(found)
    try:
        yield found
    finally:
        _noted.reset(token)


def note(tables: frozenset[str] | None) -> None:
    """These are read; None: nobody can say which."""
    noted = _noted.get()
    if noted is not None:
        noted.update({""} if tables is None else tables)


def is_noted() -> bool:
    """Whether anybody wants to know."""
    return _noted.get() is not None
