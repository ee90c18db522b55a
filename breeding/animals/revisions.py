"""Two tokens that change only when parentage, or the figures of species and signs, change."""

from collections import OrderedDict
from collections.abc import Callable
from typing import TypeVar

from breeding.animals.models import Revision
from breeding.program.acts.alone import one_at_a_time
from breeding.program.frame.memory import forget, remembered
from breeding.program.models import new_revision
from breeding.program.unchanged.along import take_along

Kept = TypeVar("Kept")
_NAME = "revision"
take_along(_NAME, Revision._meta.db_table)
_first: list[Callable[[], Revision | None]] = []


def read_first(read: Callable[[], Revision | None]) -> None:
    """A process that has read nothing yet reads its tokens with what lies under them.

    read: gives the tokens and keeps what came with them, by one query; None where there is
    nothing of it on record, or it is kept already.
    """
    _first[:] = [read]


def current() -> Revision:
    """The tokens as they stand: one query a request. Empty tokens: nothing may be kept."""
    return remembered(_NAME, _read)


def _read() -> Revision:
    for read in _first:
        found = read()
        if found is not None:
            return found
    return Revision.objects.filter(pk=1).first() or Revision(lineage="", figures="")


def hold() -> None:
    """Called first by every act that changes who is whose parent, before it looks at anything.

    Until its transaction ends nobody else changes it, so that two that are each possible alone
    cannot make an animal its own ancestor together.
    """
    one_at_a_time()
    forget(_NAME)


def parentage_changed() -> None:
    """Called by every act that changes who is whose parent, or a founder's species."""
    _renew("lineage")


def figures_changed() -> None:
    """Called by every act that changes species, their figures or the kinds of signs."""
    _renew("figures")


def taken_back() -> None:
    """Called when what was written is undone again: the tokens are read anew."""
    forget(_NAME)


def _renew(field: str) -> None:
    Revision.objects.update_or_create(pk=1, defaults={field: new_revision()})
    forget(_NAME)


def kept(
    store: "OrderedDict[str, Kept]", token: str, read: Callable[[], Kept], *, most: int = 4
) -> Kept:
    """What was read under this token, read again only when the token is new to this process."""
    if token and token in store:
        store.move_to_end(token)
        return store[token]
    answer = read()
    if token:
        store[token] = answer
        while len(store) > most:
            store.popitem(last=False)
    return answer
