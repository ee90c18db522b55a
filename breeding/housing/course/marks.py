"""What happened in a tank while its water was tested: changes, care, who came and went.

Rooms above add theirs in their AppConfig.ready, so that a course never asks upwards.
"""

import datetime
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.utils import timezone

from breeding.housing.course.readings import midnight
from breeding.housing.course.span import Span
from breeding.housing.models import Stay, Tank, TankWork, WaterChange
from breeding.housing.work.queries import change_words, sharing
from breeding.program.models import Program
from breeding.words.language import message, tell
from breeding.words.numbers import some

MOST_OF_A_KIND = 200
MOST_NAMED = 6
# The shapes that the drawing knows, by what is marked, in the order of their rows.
SHAPES = {
    "change": message("water changed"),
    "care": message("filter or other care"),
    "in": message("animals came in"),
    "out": message("animals went out"),
    "treatment": message("treatment"),
}


@dataclass(frozen=True, order=True)
class Mark:
    """Something on a day; kind is one of SHAPES. until: the last day of what lasted."""

    on: datetime.date
    kind: str
    words: str
    until: datetime.date | None = None


Source = Callable[[Sequence[Tank], Span, Program], Iterable[Mark]]
_sources: list[Source] = []


def add_marks(source: Source) -> None:
    """Called once by a room above."""
    if source not in _sources:
        _sources.append(source)


def marks_in(tanks: Sequence[Tank], span: Span, program: Program) -> list[Mark]:
    """Everything that is marked, oldest first; of each kind at most the newest some hundred."""
    found = [*_changes(tanks, span, program), *_cares(tanks, span), *_moves(tanks, span)]
    for source in _sources:
        found += source(tanks, span, program)
    return sorted(found, key=lambda one: (one.on, one.kind, one.words))


def _changes(tanks: Sequence[Tank], span: Span, program: Program) -> Iterator[Mark]:
    rows = WaterChange.objects.filter(
        sharing(tanks),
        changed_at__gte=midnight(span.first),
        changed_at__lt=midnight(span.last + datetime.timedelta(days=1)),
    ).select_related("tank", "source")
    for one in rows.order_by("-changed_at")[:MOST_OF_A_KIND]:
        on = timezone.localdate(one.changed_at)
        yield Mark(on, "change", tell("water changed, {change}", change=change_words(one, program)))


def _cares(tanks: Sequence[Tank], span: Span) -> Iterator[Mark]:
    rows = TankWork.objects.filter(sharing(tanks), on__gte=span.first, on__lte=span.last)
    for one in rows.order_by("-on")[:MOST_OF_A_KIND]:
        yield Mark(one.on, "care", one.get_kind_display())


def _moves(tanks: Sequence[Tank], span: Span) -> Iterator[Mark]:
    """Who came in and who went out, those of one day together."""
    stays = Stay.objects.filter(sharing(tanks)).select_related("animal")
    for kind, column in (("in", "since"), ("out", "until")):
        during = {f"{column}__gte": span.first, f"{column}__lte": span.last}
        by_day: dict[datetime.date, list[str]] = {}
        rows = stays.filter(**during).order_by(f"-{column}", "animal__call_name")
        for stay in rows[:MOST_OF_A_KIND]:
            by_day.setdefault(getattr(stay, column), []).append(stay.animal.name)
        for on, names in by_day.items():
            who = some(names, MOST_NAMED)
            came = kind == "in"
            words = (
                tell("{animals} came in", animals=who)
                if came
                else tell("{animals} went out", animals=who)
            )
            yield Mark(on, kind, words)
