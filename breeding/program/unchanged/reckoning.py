"""How an answer that is to be kept is asked for and reckoned: so that all it rests on is seen."""

from collections.abc import Hashable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from django.db import connection
from django.utils import timezone
from django.utils.translation import get_language

from breeding.program.frame.memory import reading_anew, remember
from breeding.program.unchanged.along import bring, taken_along
from breeding.program.unchanged.marks import NAME
from breeding.program.unchanged.noted import noting
from breeding.words.clock import hours_of_clock


def asked_here(*key: Hashable) -> Hashable:
    """A question as it is asked of this database and in this time zone: the day of a moment is
    another in another one."""
    return str(connection.settings_dict["NAME"]), timezone.get_current_timezone_name(), *key


def in_these_words(key: Hashable) -> tuple[Hashable, ...]:
    """A question as it is answered in the language and by the clock of whoever reads."""
    return get_language(), hours_of_clock(), key


@contextmanager
def seeing_what_is_read(now: Mapping[str, Any]) -> Iterator[set[str]]:
    """The tables that are read meanwhile, with the marks of `now`; "" among them where that cannot
    be said.

    What the request remembers was read without being seen: it is asked again, mostly of rows that
    are kept, but for what is taken along with its tables. Afterwards it remembers what was read.
    """
    along = taken_along()
    with noting() as tables, reading_anew():
        remember(NAME, now)
        bring(along)
        yield tables
