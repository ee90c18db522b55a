"""Days on which a female carried young, or may have: her weight is then not only her own."""

import datetime
from collections.abc import Callable, Collection, Mapping

from breeding.animals.models import Animal
from breeding.program.unchanged.each import kept_of_each

Date = datetime.date
Span = tuple[Date, Date]
Spans = Mapping[int, Collection[Span]]

# Of females, by key: the spans that a room above knows of; a constant number of queries.
Tell = Callable[[Collection[int]], Spans]
_tells: dict[str, Tell] = {}

LONGEST_DAYS = 215  # before a birth on record; published: 3 to 9 months, an eighth of them longer


def add_carrying(name: str, tell: Tell) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _tells[name] = tell


def carrying_spans(females: Collection[int]) -> Spans:
    """Of each of these, before each birth whose young are on record, and what the rooms above know.

    Kept until an animal is written or what a room above tells of: weights are written every day.
    """
    return kept_of_each("when females carried young", females, _read_spans, {})


def _read_spans(females: Collection[int]) -> Spans:
    found: dict[int, set[Span]] = {one: set() for one in females}
    births = Animal.objects.filter(
        dam__in=females, born_on__isnull=False, born_precision=Animal.Precision.DAY
    )
    for dam, born_on in set(births.values_list("dam", "born_on")):
        if dam is not None and born_on is not None:
            before = born_on - datetime.timedelta(days=LONGEST_DAYS)
            found[dam].add((before, born_on))
    for tell in _tells.values():
        for female, spans in tell(females).items():
            found[female].update(spans)
    return {female: tuple(sorted(spans)) for female, spans in found.items()}


def within(spans: Collection[Span], on: Date | None) -> bool:
    """Whether a day lies in one of them; a day unknown lies in any there is."""
    return any(on is None or first <= on <= last for first, last in spans)
