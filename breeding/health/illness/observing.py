"""Acts on what ails an animal: seen, seen to be over, put right."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import BinaryIO

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.away.here import check_was_here
from breeding.animals.models import Animal, Photograph
from breeding.animals.pictures.portraits import ReadPicture
from breeding.animals.services import add_photograph
from breeding.health.illness.days import check_past
from breeding.health.models import Observation
from breeding.program.acts.together import write_together
from breeding.program.language.chosen import as_written
from breeding.program.models import Person
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging_in_turn,
    read_of,
    settled,
    written_of,
)
from breeding.program.services import bring_back
from breeding.words.days import long_day
from breeding.words.language import tell

Date = datetime.date


@transaction.atomic
def observe(
    animal: Animal,
    kind: str,
    *,
    since: Date,
    today: Date,
    by: Person | None,
    over_on: Date | None = None,
    note: str = "",
    photograph: BinaryIO | ReadPicture | None = None,
    sure: Collection[str] = frozenset(),
) -> Observation:
    """Write down what ails an animal since a day.

    Raises ValidationError by field, and DoubtError where the same is open already.
    """
    found = Observation(
        animal=animal, kind=kind, since=since, over_on=over_on, note=note.strip(), recorded_by=by
    )
    [judged] = judge_observations([found], today)
    settled(judged, sure)
    if photograph is not None:
        found.photograph = _picture(found, photograph, by, today)
    write_together([found])
    return found


@transaction.atomic
def observe_all(rows: Sequence[Observation], *, today: Date) -> list[Judged[Observation]]:
    """Write down all that may be; what is asked of each is for the caller."""
    judged = judge_observations(rows, today)
    write_together(written_of(judged))
    return judged


def judge_observations(rows: Sequence[Observation], today: Date) -> list[Judged[Observation]]:
    """Each beside what is open on record of its animal and the rows before it."""
    still_open: dict[tuple[int, str], list[Observation]] = defaultdict(list)
    not_over = Observation.objects.filter(over_on__isnull=True).order_by("pk")
    asked = {row.animal_id for row in rows if row.over_on is None}
    for one in read_of(not_over, "animal", asked):
        still_open[one.animal_id, one.kind].append(one)

    def judge(row: Observation) -> Iterator[Doubt]:
        _check(row, today)
        if row.over_on is None:
            yield from _open_already(row, still_open[row.animal_id, row.kind])
        clean_of_its_own(row)

    def count(row: Observation) -> None:
        if row.over_on is None:
            still_open[row.animal_id, row.kind].append(row)

    return judging_in_turn(rows, judge, count)


@transaction.atomic
def end_observation(found: Observation, *, on: Date, today: Date) -> Observation:
    """It was seen to be over on this day. Raises ValidationError by field."""
    found = (
        Observation.every.select_for_update(of=("self",)).select_related("animal").get(pk=found.pk)
    )
    if found.is_withdrawn:
        raise ValidationError(tell("This observation is withdrawn; bring it back first."))
    if found.over_on is not None:
        raise ValidationError(
            {
                "on": tell(
                    "It was over on {day} already; change that day instead.",
                    day=long_day(found.over_on),
                )
            }
        )
    _check_over("on", on, found.since, today)
    found.over_on = on
    found.save()
    return found


@transaction.atomic
def change_observation(
    found: Observation,
    *,
    kind: str,
    since: Date,
    over_on: Date | None,
    today: Date,
    by: Person | None,
    note: str = "",
    photograph: BinaryIO | ReadPicture | None = None,
    without_photograph: bool = False,
) -> Observation:
    """Another kind, day, note or picture; a picture that gives way stays among the animal's."""
    found.kind, found.since, found.over_on, found.note = kind, since, over_on, note.strip()
    _check(found, today)
    if photograph is not None:
        found.photograph = _picture(found, photograph, by, today)
    elif without_photograph:
        found.photograph = None
    found.full_clean(validate_constraints=False)
    found.save()
    return found


@transaction.atomic
def bring_back_observation(found: Observation, *, today: Date) -> Observation:
    """It counts again, unless it cannot have been by what is on record now."""
    _check(found, today)
    return bring_back(found)


def _check(found: Observation, today: Date) -> None:
    check_past("since", found.since, today)
    check_was_here(found.animal, found.since, "since")
    if found.over_on is not None:
        _check_over("over_on", found.over_on, found.since, today)
    if found.kind == Observation.Kind.OTHER and not found.note:
        raise ValidationError({"note": tell("Say in a few words what you saw.")})


def _check_over(field: str, on: Date, since: Date, today: Date) -> None:
    check_past(field, on, today)
    if on < since:
        raise ValidationError(
            {
                field: tell(
                    "{day} is before it began ({began}); then or later.",
                    day=long_day(on),
                    began=long_day(since),
                )
            }
        )


def _open_already(found: Observation, same: Iterable[Observation]) -> Iterator[Doubt]:
    """same: what is open of its kind; the one that began last is named."""
    latest = max((other.since for other in same), default=None)
    if latest is not None:
        yield Doubt(
            tell(
                "{animal}: “{what}” is on record since {day} and not over; is this something new?",
                animal=found.animal.name,
                what=found.get_kind_display(),
                day=long_day(latest),
            ),
            "kind",
        )


def _picture(
    found: Observation, photograph: BinaryIO | ReadPicture, by: Person | None, today: Date
) -> Photograph:
    return add_photograph(
        found.animal,
        photograph,
        by=by,
        taken_on=today,
        caption=as_written(found.get_kind_display),
        as_portrait=False,
    )


def labels_of_kinds() -> list[str]:
    """What can ail an animal, as it is kept under a picture."""
    labels = [one.label for one in Observation.Kind]
    return as_written(lambda: "\n".join(map(str, labels))).split("\n")
