"""Acts on water: writing down a test, and what this program calls fit."""

import datetime
from collections.abc import Mapping, Sequence
from decimal import Decimal
from types import MappingProxyType
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from breeding.housing.figures import figure
from breeding.housing.models import Tank, WaterRange, WaterTest
from breeding.housing.water.fit import Range, span_of_figures
from breeding.housing.water.queries import possible_ranges
from breeding.program.acts.together import write_together
from breeding.program.kinds import kind_words
from breeding.program.models import Person
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging,
    settled,
    written_of,
)
from breeding.words.days import moment_in_figures
from breeding.words.language import tell

ENDS = ("least", "most", "source")
CHANGEABLE = (
    "tank",
    *WaterTest.VALUES,
    "ammonia_as",
    "nitrite_as",
    "nitrate_as",
    "tested_at",
    "note",
)


@transaction.atomic
def record_water_test(
    tank: Tank,
    *,
    tested_at: datetime.datetime,
    now: datetime.datetime,
    by: Person | None,
    temperature_c: Decimal | None = None,
    ph: Decimal | None = None,
    ammonia_mg_l: Decimal | None = None,
    ammonia_as: str = WaterTest.ReadAs.ION,
    nitrite_mg_l: Decimal | None = None,
    nitrite_as: str = WaterTest.ReadAs.ION,
    nitrate_mg_l: Decimal | None = None,
    nitrate_as: str = WaterTest.ReadAs.ION,
    conductivity_us_cm: Decimal | None = None,
    kh_dh: Decimal | None = None,
    note: str = "",
) -> WaterTest:
    """What a test read: values as typed with their units; nothing is unknown, 0 not detectable.

    Raises ValidationError, by field, for a time to come, values that cannot be, and no value.
    """
    test = WaterTest(
        tank=tank,
        tested_at=tested_at,
        recorded_by=by,
        temperature_c=temperature_c,
        ph=ph,
        ammonia_mg_l=ammonia_mg_l,
        ammonia_as=ammonia_as,
        nitrite_mg_l=nitrite_mg_l,
        nitrite_as=nitrite_as,
        nitrate_mg_l=nitrate_mg_l,
        nitrate_as=nitrate_as,
        conductivity_us_cm=conductivity_us_cm,
        kh_dh=kh_dh,
        note=note.strip(),
    )
    write_together([settled(judge_water_tests([test], now=now)[0], ())])
    return test


@transaction.atomic
def record_water_tests(
    rows: Sequence[WaterTest], *, now: datetime.datetime
) -> list[Judged[WaterTest]]:
    """Write down all tests that may be."""
    judged = judge_water_tests(rows, now=now)
    write_together(written_of(judged))
    return judged


def judge_water_tests(
    rows: Sequence[WaterTest], *, now: datetime.datetime
) -> list[Judged[WaterTest]]:
    """Whether each test can have read so; nothing is read for it."""
    limits = possible_ranges()

    def judge(row: WaterTest) -> tuple[Doubt, ...]:
        _check(row, now, limits)
        return ()

    return [judging(row, judge) for row in rows]


@transaction.atomic
def change_water_test(
    test: WaterTest, facts: Mapping[str, Any], *, now: datetime.datetime
) -> WaterTest:
    """Write what was read instead onto a test, by field, as `record_water_test` takes it."""
    for name in CHANGEABLE:
        setattr(test, name, facts[name])
    test.note = test.note.strip()
    _check(test, now, possible_ranges())
    test.save()
    return test


def _check(test: WaterTest, now: datetime.datetime, limits: Mapping[str, Range]) -> None:
    if test.tested_at > now:
        at = timezone.localtime(test.tested_at)
        raise ValidationError(
            {
                "tested_at": tell(
                    "{moment} is still to come; choose an earlier time.",
                    moment=moment_in_figures(at),
                )
            }
        )
    clean_of_its_own(test)
    _refuse_what_cannot_be(test, limits)


def _refuse_what_cannot_be(test: WaterTest, ranges: Mapping[str, Range]) -> None:
    problems, many = {}, kind_words().many
    for what, limits in ranges.items():
        field, unit = ("temperature_c", " °C") if what == "temperature" else (what, "")
        value = getattr(test, field)
        if value is not None and not limits.holds(float(value)):
            problems[field] = tell(
                "{value} is not possible in a tank with {many}; allowed is {allowed}. Leave empty "
                "what was not tested.",
                value=f"{figure(float(value))}{unit}",
                many=many,
                allowed=f"{span_of_figures(limits.least or 0, limits.most or 0)}{unit}",
            )
    if problems:
        raise ValidationError(problems)


@transaction.atomic
def choose_ranges(
    chosen: Mapping[str, tuple[float | None, float | None] | None],
    sources: Mapping[str, str] = MappingProxyType({}),
) -> None:
    """What this program calls fit, all at once: least and most of each, or None for the default.

    `sources` says of each where it comes from.

    Raises ValidationError, by "ph_most" and the like, and then keeps nothing.
    """
    problems: dict[str, list[str]] = {}
    for what, ends in chosen.items():
        if ends is None:
            back_to_default(what)
            continue
        try:
            choose_range(what, least=ends[0], most=ends[1], source=sources.get(what, ""))
        except ValidationError as problem:
            for end, words in problem.message_dict.items():
                problems[f"{what}_{end if end in ENDS else 'most'}"] = words
    if problems:
        raise ValidationError(problems)


@transaction.atomic
def choose_range(
    what: str, *, least: float | None, most: float | None, source: str = ""
) -> WaterRange:
    """What this program calls fit, in place of the default. Raises ValidationError."""
    row = WaterRange.objects.filter(what=what).first() or WaterRange(what=what)
    row.least, row.most, row.source = least, most, source.strip()
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def back_to_default(what: str) -> None:
    """Forget the program's own range; the default counts again."""
    WaterRange.objects.filter(what=what).delete()
