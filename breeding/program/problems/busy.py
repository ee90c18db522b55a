"""Whether a database refused for a passing reason: somebody else writes, or it does not answer."""

from collections.abc import Iterator

from django.db import InterfaceError, OperationalError

# PostgreSQL: serialization failure, deadlock, lock not available (waited too long)
_SQLSTATES = {"40001", "40P01", "55P03"}
_SQLITE = ("database is locked", "database table is locked")


def is_busy(error: BaseException) -> bool:
    """Somebody else held what was to be written: sent once more it may well be taken."""
    return any(
        isinstance(one, OperationalError)
        and (getattr(one.__cause__, "sqlstate", None) in _SQLSTATES or str(one).startswith(_SQLITE))
        for one in causes(error)
    )


def is_unreachable(error: BaseException | None) -> bool:
    """The database does not answer, the line to it broke, or it is busy; no fault of a query."""
    return any(
        isinstance(one, InterfaceError)
        or is_busy(one)
        or (isinstance(one, OperationalError) and _is_line_broken(one))
        for one in causes(error)
    )


def _is_line_broken(error: OperationalError) -> bool:
    """PostgreSQL gives a line that broke no code, and class 08 or 57 when it is going down."""
    if isinstance(error.__cause__, Exception) and hasattr(error.__cause__, "sqlstate"):
        return str(error.__cause__.sqlstate or "08")[:2] in ("08", "57", "53")
    return str(error).startswith("unable to open database file")


def causes(error: BaseException | None) -> Iterator[BaseException]:
    """The error and what it came from."""
    while error is not None:
        yield error
        error = error.__cause__
