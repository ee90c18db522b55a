"""Days on which a female carried young, or may have: her weight is then not only her own."""

import datetime
from collections.abc import Callable, Collection, Mapping

from breeding.animals.models import Animal

Date = datetime.date
Span = tuple[Date, Date]
Spans = Mapping[int, list[Span]]

# Of females, by key: the spans that a room above knows of; a constant number of queries.
Tell = Callable[[Collection[int]], Spans]
_tells: dict[str, Tell] = {}

LONGEST_DAYS = 215  # before a birth on record; published: 3 to 9 months, an eighth of them longer


def add_carrying(name: str, tell: Tell) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _tells[name] = tell


def carrying_spans(females: Collection[int]) -> dict[int, list[Span]]:
    """Before each birth whose young are on record, and what the rooms above know."""
    found: dict[int, list[Span]] = {}
    births = Animal.objects.filter(
        dam__in=females, born_on__isnull=False, born_precision=Animal.Precision.DAY
    )
    for dam, born_on in set(births.values_list("dam", "born_on")):
        if dam is not None and born_on is not None:
            before = born_on - datetime.timedelta(days=LONGEST_DAYS)
            found.setdefault(dam, []).append((before, born_on))
    for tell in _tells.values():
        for female, spans in tell(females).items():
            found.setdefault(female, []).extend(spans)
    return found


def within(spans: Collection[Span], on: Date | None) -> bool:
    """Whether a day lies in one of them; a day unknown lies in any there is."""
    return any(on is None or first <= on <= last for first, last in spans)
