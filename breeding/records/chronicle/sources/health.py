"""What health tells: what ailed an animal, with what it was treated, who looked at it."""

from typing import Any

from django.db.models import Q
from django.utils.html import format_html

from breeding.health.models import Observation, Treatment, Visit
from breeding.program import clock
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.entry import Telling, Told
from breeding.records.chronicle.kinds import AILED, TREATED
from breeding.records.chronicle.source import Source, written_with
from breeding.words.days import long_day


def ailed(record: Observation, telling: Telling) -> Told:
    until = f", until {long_day(record.over_on)}" if record.over_on else ""
    return Told(
        lead="ailed",
        rest=f": {record.get_kind_display()}{until}",
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note=record.note,
        picture=record.picture,
    )


def well_again(record: Observation, telling: Telling) -> Told:
    return Told(
        lead="well again",
        rest=f": {record.get_kind_display()}, since {long_day(record.since)}, is over",
        subject=record.animal,
        address=record.animal.get_absolute_url(),
    )


def treated(record: Treatment, telling: Telling) -> Told:
    against = f", against {record.against}" if record.against else ""
    by = f"prescribed by {record.prescribed_by}" if record.prescribed_by else "by no prescription"
    return Told(
        lead="treated",
        rest=f" with {record.remedy}{against}, {by} on record",
        subject=record.animal or record.tank,
        address=record.get_absolute_url(),
        note=record.note,
    )


def treated_no_more(record: Treatment, telling: Telling) -> Told:
    hold = f", held until {long_day(record.hold_until)}" if record.hold_until else ""
    return Told(
        lead="treated no more",
        rest=f" with {record.remedy}{hold}",
        subject=record.animal or record.tank,
        address=record.get_absolute_url(),
    )


def looked_at(record: Visit, telling: Telling) -> Told:
    who: Any = record.animal or record.tank
    by = f" by {record.by}" if record.by else " by a veterinarian"
    again = (
        f", to be looked at again on {long_day(record.look_again_on)}"
        if (record.look_again_on)
        else ""
    )
    return Told(
        lead="looked at",
        rest=format_html("{}{}", by, again),
        subject=who,
        address=who.get_absolute_url(),
        note=record.found,
    )


def that_ended(asked: Asked) -> Q:
    """It counts, and its last day has come: the day may be prescribed ahead."""
    return Q(withdrawn_at__isnull=True, until__lte=clock.today())


def that_counts(asked: Asked) -> Q:
    return Q(withdrawn_at__isnull=True)


ITS_WORDS = ("animal__code", "animal__call_name")
WHO = (*ITS_WORDS, "tank__name")

SOURCES = (
    Source(
        kind=AILED,
        model=Observation,
        day="since",
        tell=ailed,
        animals=("animal",),
        related=("animal", "photograph"),
        words=(*ITS_WORDS, "note"),
    ),
    Source(
        kind=AILED,
        model=Observation,
        day="over_on",
        tell=well_again,
        animals=("animal",),
        related=("animal",),
        words=ITS_WORDS,
        only=that_counts,
        **written_with(Observation, "over_on"),
    ),
    Source(
        kind=TREATED,
        model=Treatment,
        day="since",
        tell=treated,
        animals=("animal",),
        related=("animal", "tank"),
        words=(*WHO, "remedy", "against", "prescribed_by", "note"),
    ),
    Source(
        kind=TREATED,
        model=Treatment,
        day="until",
        tell=treated_no_more,
        animals=("animal",),
        related=("animal", "tank"),
        words=(*WHO, "remedy"),
        only=that_ended,
        **written_with(Treatment, "until"),
    ),
    Source(
        kind=TREATED,
        model=Visit,
        day="on",
        tell=looked_at,
        animals=("animal",),
        related=("animal", "tank"),
        words=(*WHO, "by", "found"),
    ),
)
