"""Water changes: one row a tank and a moment."""

from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone

from breeding.housing.models import WaterChange
from breeding.housing.work.changes import record_changes
from breeding.records.incoming.kinds.kind import NOTE, Facts, Keeping, Kind, until_now, words
from breeding.records.incoming.meanings import Meaning


def _keep(facts: Facts, keeping: Keeping) -> Any:
    """A row by the service of the page; a second one of a moment is asked about."""
    tank, at = facts["tank"], until_now(facts["changed_at"], keeping)
    keeping.ask_when(
        WaterChange.objects.filter(tank=tank, changed_at=at).exists(),
        f"A water change of {tank} at {timezone.localtime(at):%Y-%m-%d %H:%M} is on record "
        "already; this writes a second one.",
        "changed_at",
    )
    done = record_changes(
        [tank],
        changed_at=at,
        now=keeping.now,
        by=keeping.by,
        program=keeping.program,
        percent=_whole(facts, "percent"),
        litres=_whole(facts, "litres"),
        source=facts["source"],
        note=words(facts, "note"),
        sure=keeping.sure,
    )
    return done.changes[0]


def _whole(facts: Facts, name: str) -> int | None:
    value: Decimal | None = facts[name]
    if value is None:
        return None
    if value < 1:
        raise ValidationError({name: f"{value:f} is less than 1; leave it empty if nobody knows."})
    return round(value)


CHANGES = Kind(
    "changes",
    "water change",
    "water changes",
    (
        Meaning(
            "tank",
            "Tank",
            ("tank", "tank name", "where", "aquarium", "vat", "pond", "becken"),
            "its name",
            "tank",
            is_needed=True,
        ),
        Meaning(
            "changed_at",
            "Changed on",
            ("date", "changed", "changed on", "changed at", "day", "when", "on", "datum"),
            "a date, with the time or without: then noon",
            "moment",
            is_needed=True,
        ),
        Meaning(
            "percent",
            "Percent",
            ("percent", "%", "per cent", "percentage", "share", "prozent"),
            "a number",
            "percent",
        ),
        Meaning(
            "litres",
            "Litres",
            ("litres", "liters", "l", "litre", "volume", "liter"),
            "a number",
            "litres",
        ),
        Meaning(
            "source",
            "Source water",
            ("source", "source water", "water", "with", "wasser"),
            "its name",
            "source",
        ),
        NOTE,
    ),
    _keep,
    lambda facts: facts["changed_at"],
    takes=(
        *("housing.WaterChange.tank", "housing.WaterChange.changed_at"),
        *("housing.WaterChange.percent", "housing.WaterChange.litres"),
        *("housing.WaterChange.source", "housing.WaterChange.note", "housing.WaterSource.name"),
    ),
)
