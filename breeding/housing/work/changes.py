"""Acts on water that was changed: written down for one tank or several, and put right."""

import datetime
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from breeding.housing.models import Tank, WaterChange, WaterSource
from breeding.housing.sizes import volume_words
from breeding.housing.water.queries import mixing_rules, newest_readings
from breeding.housing.work.mixing import Poured, chlorine_words, differing_words
from breeding.housing.work.queries import had_before
from breeding.program.acts.together import write_together
from breeding.program.kinds import kind_words
from breeding.program.models import Person, Program
from breeding.program.problems.doubts import Doubt, ask
from breeding.program.problems.several import Judged, clean_of_its_own, judging, written_of
from breeding.words.days import moment_in_figures
from breeding.words.language import tell
from breeding.words.numbers import joined

LONG_MIXED = datetime.timedelta(days=1)  # what was poured before that is asked about no more
CHANGEABLE = ("tank", "changed_at", "litres", "percent", "source", "note")


@dataclass(frozen=True)
class Changed:
    """What was written, and what was only said of it."""

    changes: tuple[WaterChange, ...]
    said: tuple[str, ...]


@transaction.atomic
def record_changes(
    tanks: Sequence[Tank],
    *,
    changed_at: datetime.datetime,
    now: datetime.datetime,
    by: Person | None,
    program: Program,
    litres: int | None = None,
    percent: int | None = None,
    source: WaterSource | None = None,
    note: str = "",
    sure: Collection[str] = frozenset(),
) -> Changed:
    """Water of these tanks was changed: percent of each, or litres of all together.

    Litres of several are shared out by their volumes. Raises ValidationError by field, and
    DoubtError for water that is hardly good for them.
    """
    if not tanks:
        raise ValidationError({"tanks": tell("Choose at least one tank.")})
    parts = shared_out(tanks, litres)
    changes = [
        WaterChange(
            tank=tank,
            changed_at=changed_at,
            litres=part,
            percent=percent,
            source=source,
            note=note.strip(),
            recorded_by=by,
        )
        for tank, part in zip(tanks, parts, strict=True)
    ]
    doubts = _doubts(changes, now, program)
    ask(doubts, sure)
    for change in changes:
        _check(change, now)
    write_together(changes)
    return Changed(tuple(changes), tuple(one.sentence for one in doubts if one.is_only_said))


@transaction.atomic
def record_many(
    rows: Sequence[WaterChange], *, now: datetime.datetime, program: Program
) -> list[Judged[WaterChange]]:
    """Each a change of one tank, written down where it may be; what is asked is for the caller."""
    judged: list[Judged[WaterChange]] = []
    waiting: list[Judged[WaterChange]] = []

    def judge(row: WaterChange) -> Iterator[Doubt]:
        yield from _doubts([row], now, program)
        _check(row, now)

    for row in rows:
        if row.source is not None and _is_mixing(row, now):  # it rests on those before it
            write_together(written_of(waiting))
            waiting = []
        waiting.append(judging(row, judge))
        judged.append(waiting[-1])
    write_together(written_of(waiting))
    return judged


def shared_out(tanks: Sequence[Tank], litres: int | None) -> list[int | None]:
    """So many litres by the tanks' volumes, whole ones that add up. Raises ValidationError."""
    if litres is None or len(tanks) == 1:
        return [litres] * len(tanks)
    unknown = [tank.name for tank in tanks if tank.volume_litres is None]
    if unknown:
        raise ValidationError(
            {
                "litres": tell(
                    "How much of {litres} litres went to each tank follows from their volumes, and "
                    "that of {tanks} is not on record; say percent instead.",
                    litres=litres,
                    tanks=joined(unknown),
                )
            }
        )
    volumes = [tank.volume_litres or 0 for tank in tanks]
    found: list[int | None] = []
    before = upto = 0
    for volume in volumes:
        upto += volume
        reached = round(litres * upto / sum(volumes))
        found.append(max(reached - before, 1))
        before = reached
    return found


@transaction.atomic
def change_change(
    change: WaterChange, facts: Mapping[str, Any], *, now: datetime.datetime
) -> WaterChange:
    """Write onto a water change what was done instead."""
    for name in CHANGEABLE:
        setattr(change, name, facts[name])
    change.note = change.note.strip()
    _check(change, now)
    change.save()
    return change


def _check(change: WaterChange, now: datetime.datetime) -> None:
    if change.changed_at > now:
        at = timezone.localtime(change.changed_at)
        raise ValidationError(
            {
                "changed_at": tell(
                    "{moment} is still to come; choose an earlier time.",
                    moment=moment_in_figures(at),
                )
            }
        )
    clean_of_its_own(change)


def share_of(change: WaterChange) -> float | None:
    """Which share of the tank's water it was, from 0 to 1; None when nothing says so."""
    if change.percent is not None:
        return change.percent / 100
    if change.litres is not None and change.tank.volume_litres:
        return min(change.litres / change.tank.volume_litres, 1.0)
    return None


def _doubts(
    changes: Sequence[WaterChange], now: datetime.datetime, program: Program
) -> list[Doubt]:
    """What is asked of a change of one tank, or of several that were changed together."""
    found = [one for change in changes for one in _too_much(change, program)]
    if _is_mixing(changes[0], now):
        asof = timezone.localdate(changes[0].changed_at)
        found += _of_the_source(changes, program, asof=asof)
    return found


def _is_mixing(change: WaterChange, now: datetime.datetime) -> bool:
    """Whether it was poured so lately that its water is worth a word."""
    return now - change.changed_at < LONG_MIXED


def _of_the_source(
    changes: Sequence[WaterChange], program: Program, *, asof: datetime.date
) -> list[Doubt]:
    """What is asked of this water, and what is only said to who has long done the same."""
    source = changes[0].source
    if source is None:
        return []
    tanks = [change.tank for change in changes]
    newest = newest_readings(tanks, asof)
    used = had_before(changes, asof, days=mixing_rules()[1])
    chlorine = chlorine_words(_poured(source, changes[0]), kind_words().many)
    found = [Doubt(chlorine, "source")] if chlorine else []
    for change in changes:
        differing = differing_words(
            _poured(source, change),
            newest[change.tank.pk],
            mixing_rules()[0],
            asof=asof,
            temperature_unit=program.temperature_unit,
        )
        for words in differing:
            whose = f"{change.tank}: " if changes[1:] else ""
            is_used_to_it = change.tank.pk in used
            found.append(Doubt(whose + words, "source", is_only_said=is_used_to_it))
    return found


def _too_much(change: WaterChange, program: Program) -> Iterator[Doubt]:
    volume, litres = change.tank.volume_litres, change.litres
    if volume and litres and litres > volume:
        unit = program.volume_unit
        yield Doubt(
            tell(
                "{volume} are more than {tank} holds ({holds}).",
                volume=volume_words(litres, unit),
                tank=change.tank,
                holds=volume_words(volume, unit),
            ),
            "litres",
        )


def _poured(source: WaterSource, change: WaterChange) -> Poured:
    return Poured(
        name=source.name,
        share=share_of(change),
        ph=_number(source.ph),
        temperature_c=_number(source.temperature_c),
        conductivity_us_cm=_number(source.conductivity_us_cm),
        is_raw_tap=source.comes_from == source.ComesFrom.TAP and not source.is_dechlorinated,
    )


def _number(value: Any) -> float | None:
    return None if value is None else float(value)
