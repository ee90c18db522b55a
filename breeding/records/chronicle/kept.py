"""What sources were asked before: those that get rows every day are asked apart from all others."""

from collections.abc import Callable, Hashable, Iterable, Mapping
from functools import partial
from typing import TypeVar

from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db.models import Model

from breeding.pairings.models import Sighting
from breeding.program.unchanged.come import Written
from breeding.program.unchanged.growing import kept_while_growing
from breeding.program.unchanged.values import kept_while_unchanged
from breeding.records.chronicle.asked import Asked, Place
from breeding.records.chronicle.source import Source, places
from breeding.records.chronicle.sources.history import TOLD

Answer = TypeVar("Answer")
Sources = Mapping[int, Source]


def kept_apart(
    name: str,
    key: Hashable,
    sources: Sources,
    make: Callable[[Sources], Iterable[Answer]],
) -> list[Answer]:
    """What `make` answers of these sources, by their rank, part by part.

    A source whose records are added every day is a part by itself, asked again after each; all
    others are one part, which stands meanwhile. name, key: what is asked, beside the sources.
    """

    def ask(some: Sources) -> tuple[Answer, ...]:
        return tuple(make(some))

    others = {rank: one for rank, one in sources.items() if not _grows_daily(one.model)}
    parts = [{rank: one} for rank, one in sources.items() if rank not in others]
    found: list[Answer] = []
    if others:
        found += kept_while_growing(
            (name, key, tuple(others)),
            partial(ask, others),
            {LogEntry: _history_tells_more, Sighting: _with_a_picture},
            alike=name,
        )
    for part in parts:
        found += kept_while_unchanged((name, key, tuple(part)), partial(ask, part))
    return found


def newest_places(wanted: Sources, asked: Asked, most: int) -> list[Place]:
    """Where the newest records of these sources stand, so many of each, in no order."""
    return kept_apart(
        "chronicle places", (asked.key, most), wanted, lambda some: places(some, asked, most)
    )


def _grows_daily(model: type[Model]) -> bool:
    return bool(getattr(model, "grows_daily", False))


def _history_tells_more(written: Written) -> bool:
    """Whether anything was done but to write down what is added every day: its own source tells
    of that, and no source that reads the history.
    """
    if written.before:
        return True
    kinds = ContentType.objects.get_for_models(*filter(_grows_daily, TOLD)).values()
    added = {"action": LogEntry.Action.CREATE, "content_type__in": list(kinds)}
    return written.added(LogEntry.objects.exclude(**added)).exists()


def _with_a_picture(written: Written) -> bool:
    """Whether sightings with photographs were added, or any changed: those are told with them."""
    seen = Sighting.objects.filter(photograph__isnull=False)
    return bool(written.before) or written.added(seen).exists()
