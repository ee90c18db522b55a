"""Lines are written once for each thing that is kept from page to page."""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterable, Mapping
from typing import Any, TypeVar

from django.db import connection
from django.utils import timezone
from django.utils.translation import get_language

from breeding.agenda.gathered import Gathered
from breeding.program.frame.memory import only_reads
from breeding.words.clock import hours_of_clock

Thing = TypeVar("Thing")
Written = TypeVar("Written")
MOST = 24  # sources, each in the languages that are read

# By the identity of each thing, with the thing itself, so that no other can take its place.
_written: "OrderedDict[Hashable, Mapping[int, tuple[Any, tuple[Any, ...]]]]" = OrderedDict()


def written_once(
    source: str,
    gathered: Gathered,
    things: Iterable[Thing],
    write: Callable[[Thing], Iterable[Written]],
) -> list[Written]:
    """The lines of each of these things, in order; written anew for those that are others by now.

    Or what else is written of each. It may say only what its thing holds and what follows from the
    day. The things are those that pages are handed again while nothing they rest on was written
    (`program/unchanged/`), and that nobody changes: where something was, it is another thing, with
    lines of its own.
    """
    around = (timezone.get_current_timezone_name(), get_language(), hours_of_clock())
    whole = (str(connection.settings_dict["NAME"]), around, source, gathered.today)
    before = _written.get(whole, {})
    found: dict[int, tuple[Any, tuple[Any, ...]]] = {}
    for thing in things:
        held = before.get(id(thing))
        found[id(thing)] = held if held is not None else (thing, tuple(write(thing)))
    if only_reads():
        _written[whole] = found
        _written.move_to_end(whole)
        while len(_written) > MOST:
            _written.popitem(last=False)
    return [one for _, written in found.values() for one in written]
