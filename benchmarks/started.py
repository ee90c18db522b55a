"""A process as it is right after its start: no page served, nothing remembered of one."""

import functools
import sys
from collections import OrderedDict
from collections.abc import Iterator
from types import ModuleType

ROOMS = ("breeding", "pedigree")
# Which sessions this process has written down: a visitor who signs in is among them.
STAYS = ("breeding.program.access.sessions",)


def forget_everything() -> None:
    """Empties whatever the rooms keep from one request to the next.

    What a module keeps stands in an OrderedDict, in a Newest, in a Shelf, or behind lru_cache; what
    does not is named here.
    """
    from django.contrib.contenttypes.models import ContentType

    from breeding.program.unchanged.blank import forget_blank
    from breeding.program.unchanged.marks import look_again
    from breeding.program.unchanged.newest import Newest
    from breeding.program.unchanged.rows import Shelf

    for module in _modules():
        for value in list(vars(module).values()):
            if isinstance(value, OrderedDict):
                value.clear()
            elif isinstance(value, Newest | Shelf):
                value.empty()
            elif isinstance(value, functools._lru_cache_wrapper):
                value.cache_clear()
    forget_blank()
    look_again()
    ContentType.objects.clear_cache()


def start_again() -> None:
    """As a server is that has just been started: it has reckoned the day, and served no page."""
    from breeding.agenda.beforehand import reckon
    from breeding.program import clock
    from breeding.program.queries import the_program

    forget_everything()
    reckon(the_program(), clock.today())


def _modules() -> Iterator[ModuleType]:
    for name, module in list(sys.modules.items()):
        if name.partition(".")[0] in ROOMS and name not in STAYS:
            yield module
