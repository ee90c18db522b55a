"""What health tells: what ailed an animal, with what it was treated, quarantine, how it died."""

from typing import Any

from django.db.models import CharField, Q
from django.db.models.functions import Cast
from django.utils.html import format_html

from breeding.health.models import Death, Observation, Quarantine, Treatment, Visit
from breeding.program import clock
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.entry import Telling, Told
from breeding.records.chronicle.kinds import AILED, DIED, KEPT_APART, TREATED
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


def kept_apart(record: Quarantine, telling: Telling) -> Told:
    least = f", for {record.least_days} days at least" if record.least_days else ""
    return Told(
        lead="in quarantine",
        rest=f" by word{least}",
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note="" if record.ended_on else record.note,
    )


def let_out(record: Quarantine, telling: Telling) -> Told:
    return Told(
        lead="out of quarantine",
        rest=f": {record.get_result_display()}",
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note=record.note,
    )


def how_it_died(record: Death, telling: Telling) -> Told:
    by = f", looked at by {record.examined_by}" if record.examined_by else ""
    said = [record.circumstances, record.findings]
    return Told(
        lead="how it died",
        rest=f": {record.cause_words}{by}",
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note=" ".join(filter(None, said)),
        picture=record.picture,
    )


def that_ended(asked: Asked) -> Q:
    """It counts, and its last day has come: the day may be prescribed ahead."""
    return Q(withdrawn_at__isnull=True, until__lte=clock.today())


def that_was_said(asked: Asked) -> Q:
    """Where the stay says it, the move is told."""
    return Q(since__isnull=False)


def that_was_ended(asked: Asked) -> Q:
    return Q(ended_on__isnull=False, withdrawn_at__isnull=True) | Q(since__isnull=True)


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
    Source(
        kind=KEPT_APART,
        model=Quarantine,
        day="since",
        tell=kept_apart,
        animals=("animal",),
        related=("animal",),
        words=(*ITS_WORDS, "note"),
        only=that_was_said,
    ),
    Source(
        kind=KEPT_APART,
        model=Quarantine,
        day="ended_on",
        tell=let_out,
        animals=("animal",),
        related=("animal",),
        words=(*ITS_WORDS, "note"),
        only=that_was_ended,
        **written_with(Quarantine, "ended_on"),
    ),
    Source(
        kind=DIED,
        model=Death,
        day=Cast("animal__state_on", CharField()),
        tell=how_it_died,
        animals=("animal",),
        related=("animal", "photograph"),
        words=(*ITS_WORDS, "circumstances", "findings", "examined_by"),
    ),
)
