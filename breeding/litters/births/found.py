"""Litters among animals that were brought in: young of one dam and day that stand in no litter."""

import datetime
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet

from breeding.animals.models import Animal
from breeding.litters.births.facts import DAYS_BETWEEN_BIRTHS
from breeding.litters.births.joining import DAYS_APART, without_litter
from breeding.litters.doubts import doubts_of_birth
from breeding.litters.models import Litter
from breeding.litters.services import record_birth
from breeding.program.models import Person
from breeding.words.language import tell


@dataclass(frozen=True)
class FoundLitter:
    """Young of one dam, born within two days, that can become a litter.

    near: a litter of hers on record that is too near for another birth; they may belong to it.
    """

    dam: Animal
    young: tuple[Animal, ...]
    near: Litter | None = None

    @property
    def born_on(self) -> datetime.date:
        """The day that most of them have on record; of several the first."""
        days = Counter(one.born_on for one in self.young if one.born_on is not None)
        return min(days, key=lambda day: (-days[day], day))

    @property
    def key(self) -> str:
        return f"{self.dam.pk}:{self.born_on}"


def any_found() -> bool:
    """Whether there is any to be offered, without reading them: one query."""
    return _of_a_dam_and_day().exists()


def _of_a_dam_and_day() -> "QuerySet[Animal]":
    return without_litter().filter(dam__isnull=False, born_precision=Animal.Precision.DAY)


def found_litters(among: Collection[int] | None = None) -> list[FoundLitter]:
    """Every group, the latest first; `among`: only with one of these animals. Two queries."""
    young = _of_a_dam_and_day().select_related("dam", "sire").order_by("dam", "born_on", "code")
    groups = [group for group in _groups(young) if among is None or _has_one(group, among)]
    births: dict[int, list[Litter]] = defaultdict(list)
    dams = {group[0].dam_id for group in groups}
    for litter in Litter.objects.filter(withdrawn_at__isnull=True, dam__in=dams):
        births[litter.dam_id].append(litter)
    found = [_as_found(group, births) for group in groups]
    return sorted(found, key=lambda one: (one.born_on, one.dam.pk), reverse=True)


def _has_one(group: Sequence[Animal], among: Collection[int]) -> bool:
    return any(one.pk in among for one in group)


def _groups(young: Iterable[Animal]) -> Iterator[tuple[Animal, ...]]:
    """Those of one dam whose days are at most two apart from the first of them."""
    group: list[Animal] = []
    for one in young:
        if group and not _belongs(one, group[0]):
            yield tuple(group)
            group = []
        group.append(one)
    if group:
        yield tuple(group)


def _belongs(one: Animal, first: Animal) -> bool:
    if one.dam_id != first.dam_id or one.born_on is None or first.born_on is None:
        return False
    return (one.born_on - first.born_on).days <= DAYS_APART


def _as_found(group: Sequence[Animal], births: dict[int, list[Litter]]) -> FoundLitter:
    dam = group[0].dam
    assert dam is not None  # noqa: S101  (for the type checker)
    found = FoundLitter(dam, tuple(group))
    near = [
        litter
        for litter in births[dam.pk]
        if abs((litter.born_on - found.born_on).days) < DAYS_BETWEEN_BIRTHS
    ]
    return FoundLitter(dam, found.young, near[0] if near else None)


@dataclass(frozen=True)
class Made:
    """What became of them: the litters, and what stood against the others, in a sentence each."""

    litters: tuple[Litter, ...]
    refused: tuple[str, ...]


@transaction.atomic
def make_litters(found: Iterable[FoundLitter], *, today: datetime.date, by: Person | None) -> Made:
    """Make a birth of each, the oldest first; the sires stay those on record.

    One that cannot be is left as it is and said. Raises ValidationError when none can be made.
    """
    made: list[Litter] = []
    refused: list[str] = []
    for one in sorted(found, key=lambda one: (one.born_on, one.dam.pk)):
        try:
            made.append(_make(one, today, by))
        except ValidationError as problem:
            refused.append(f"{one.dam.full_name}: {' '.join(problem.messages)}")
    if not made:
        raise ValidationError(refused or [tell("These stand in a litter by now.")])
    return Made(tuple(made), tuple(refused))


@transaction.atomic
def _make(one: FoundLitter, today: datetime.date, by: Person | None) -> Litter:
    return record_birth(
        dam=one.dam,
        born_on=one.born_on,
        pups=(),
        young=one.young,
        keep_their_sires=True,
        today=today,
        by=by,
        sure=_on_record_already(one),
    )


def _on_record_already(one: FoundLitter) -> frozenset[str]:
    """Nothing is asked: that these are hers and of that day stands on record as it is."""
    doubts = doubts_of_birth(one.dam, one.born_on, len(one.young))
    return frozenset(doubt.mark for doubt in doubts)
