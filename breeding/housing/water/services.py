"""Acts on water: writing down a test, and what this program calls fit."""

import datetime
from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from breeding.housing.figures import figure
from breeding.housing.models import Tank, WaterRange, WaterTest
from breeding.housing.water.fit import span_of_figures
from breeding.housing.water.queries import possible_ranges
from breeding.program.kinds import kind_words
from breeding.program.models import Person
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
    return _keep(test, now)


@transaction.atomic
def change_water_test(
    test: WaterTest, facts: Mapping[str, Any], *, now: datetime.datetime
) -> WaterTest:
    """Write what was read instead onto a test, by field, as `record_water_test` takes it."""
    for name in CHANGEABLE:
        setattr(test, name, facts[name])
    test.note = test.note.strip()
    return _keep(test, now)


def _keep(test: WaterTest, now: datetime.datetime) -> WaterTest:
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
    test.full_clean()
    _refuse_what_cannot_be(test)
    test.save()
    return test


def _refuse_what_cannot_be(test: WaterTest) -> None:
    problems, many = {}, kind_words().many
    for what, limits in possible_ranges().items():
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
