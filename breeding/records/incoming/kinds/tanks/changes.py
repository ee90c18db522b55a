"""Water changes: one row a tank and a moment."""

from collections.abc import Sequence
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.housing.models import WaterChange
from breeding.housing.work.changes import record_many
from breeding.records.incoming.kinds.kept import Again, Kept, all_together, known_by
from breeding.records.incoming.kinds.kind import (
    NOTE,
    Facts,
    Keeping,
    Kind,
    moment_words,
    tank,
    until_now,
    words,
)
from breeding.records.incoming.meanings import Meaning
from breeding.words.language import tell, tell_many


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    def make(facts: Facts) -> WaterChange:
        return WaterChange(
            tank=facts["tank"],
            changed_at=until_now(facts["changed_at"], keeping),
            percent=_whole(facts, "percent"),
            litres=_whole(facts, "litres"),
            source=facts["source"],
            note=words(facts, "note").strip(),
            recorded_by=keeping.by,
        )

    again = Again[WaterChange](
        lambda row: (row.tank_id, row.changed_at),
        lambda rows: known_by(rows, "tank", "changed_at", found=WaterChange.objects.all()),
        _twice_words,
        "changed_at",
    )
    return all_together(
        rows,
        keeping,
        make=make,
        write=lambda made: record_many(made, now=keeping.now, program=keeping.program),
        again=again,
    )


def _twice_words(row: WaterChange) -> str:
    return tell(
        "A water change of {tank} at {moment} is on record already; this writes a second one.",
        tank=row.tank,
        moment=moment_words(row.changed_at),
    )


def _whole(facts: Facts, name: str) -> int | None:
    value: Decimal | None = facts[name]
    if value is None:
        return None
    if value < 1:
        words = tell("{value} is less than 1; leave it empty if nobody knows.", value=f"{value:f}")
        raise ValidationError({name: words})
    if name == "percent" and value > 100:
        words = tell("{value} is more than 100 percent.", value=f"{value:f}")
        raise ValidationError({name: words})
    return round(value)


CHANGES = Kind(
    "changes",
    _("water change"),
    _("water changes"),
    lambda number: tell_many("{number} water change", "{number} water changes", number),
    (
        tank(),
        Meaning(
            "changed_at",
            _("Changed on"),
            ("date", "changed", "changed on", "changed at", "day", "when", "on", "datum"),
            _("a date, with the time or without: then noon"),
            "moment",
            is_needed=True,
        ),
        Meaning(
            "percent",
            _("Percent"),
            ("percent", "%", "per cent", "percentage", "share", "prozent"),
            _("a number"),
            "percent",
        ),
        Meaning(
            "litres",
            _("Litres"),
            ("litres", "liters", "l", "litre", "volume", "liter"),
            _("a number"),
            "litres",
        ),
        Meaning(
            "source",
            _("Source water"),
            ("source", "source water", "water", "with", "wasser"),
            _("its name"),
            "source",
        ),
        NOTE,
    ),
    _keep_all,
    lambda facts: facts["changed_at"],
    takes=(
        *("housing.WaterChange.tank", "housing.WaterChange.changed_at"),
        *("housing.WaterChange.percent", "housing.WaterChange.litres"),
        *("housing.WaterChange.source", "housing.WaterChange.note", "housing.WaterSource.name"),
    ),
)
