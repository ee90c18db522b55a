"""What health tells: what ailed an animal, with what it was treated, quarantine, how it died."""

from typing import Any

from django.db.models import CharField, Q
from django.db.models.functions import Cast, Coalesce, TruncDate

from breeding.health.models import Death, Observation, Quarantine, Treatment, Visit
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.entry import Telling, Told, phrase
from breeding.records.chronicle.kinds import AILED, DIED, KEPT_APART, TREATED
from breeding.records.chronicle.source import Source, written_with
from breeding.words.days import long_day
from breeding.words.language import message, tell


def ailed(record: Observation, telling: Telling) -> Told:
    kind = record.get_kind_display()
    return Told(
        phrase(message("[ailed]: {kind}, until {day}"), kind=kind, day=long_day(record.over_on))
        if record.over_on
        else phrase(message("[ailed]: {kind}"), kind=kind),
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note=record.note,
        picture=record.picture,
    )


def well_again(record: Observation, telling: Telling) -> Told:
    return Told(
        phrase(
            message("[well again]: {kind}, since {day}, is over"),
            kind=record.get_kind_display(),
            day=long_day(record.since),
        ),
        subject=record.animal,
        address=record.animal.get_absolute_url(),
    )


# By whether it is said against what, and by whom it was prescribed.
_TREATED = {
    (True, True): message(
        "[treated] with {remedy}, against {illness}, prescribed by {person} on record"
    ),
    (True, False): message(
        "[treated] with {remedy}, against {illness}, by no prescription on record"
    ),
    (False, True): message("[treated] with {remedy}, prescribed by {person} on record"),
    (False, False): message("[treated] with {remedy}, by no prescription on record"),
}


def treated(record: Treatment, telling: Telling) -> Told:
    sentence = _TREATED[bool(record.against), bool(record.prescribed_by)]
    return Told(
        phrase(sentence, remedy=record.remedy, illness=record.against, person=record.prescribed_by),
        subject=record.animal or record.tank,
        address=record.get_absolute_url(),
        note=record.note,
    )


def treated_no_more(record: Treatment, telling: Telling) -> Told:
    remedy, hold = record.remedy, record.hold_until
    return Told(
        phrase(
            message("[treated no more] with {remedy}, held until {day}"),
            remedy=remedy,
            day=long_day(hold),
        )
        if hold
        else phrase(message("[treated no more] with {remedy}"), remedy=remedy),
        subject=record.animal or record.tank,
        address=record.get_absolute_url(),
    )


def looked_at(record: Visit, telling: Telling) -> Told:
    who: Any = record.animal or record.tank
    words = (
        phrase(message("[looked at] by {person}"), person=record.by)
        if record.by
        else phrase(message("[looked at] by a veterinarian"))
    )
    if record.look_again_on:
        again = message("{this}, to be looked at again on {day}")
        words = words.followed_by(again, day=long_day(record.look_again_on))
    return Told(
        words,
        subject=who,
        address=who.get_absolute_url(),
        note=record.found,
    )


def kept_apart(record: Quarantine, telling: Telling) -> Told:
    least = record.least_days
    return Told(
        phrase(message("[in quarantine] by word, for {number} days at least"), number=least)
        if least
        else phrase(message("[in quarantine] by word")),
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note="" if record.ended_on else record.note,
    )


def let_out(record: Quarantine, telling: Telling) -> Told:
    return Told(
        phrase(message("[out of quarantine]: {result}"), result=record.get_result_display()),
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note=record.note,
    )


def how_it_died(record: Death, telling: Telling) -> Told:
    cause, by = record.cause_words, record.examined_by
    said = [record.circumstances, record.findings]
    return Told(
        phrase(message("[how it died]: {cause}, looked at by {person}"), cause=cause, person=by)
        if by
        else phrase(message("[how it died]: {cause}"), cause=cause),
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note=" ".join(filter(None, said)),
        picture=record.picture,
        day_words="" if record.animal.state_on else tell("the day of its death is unknown"),
    )


def that_ended(asked: Asked) -> Q:
    """It counts, and its last day has come: the day may be prescribed ahead."""
    return Q(withdrawn_at__isnull=True, until__lte=asked.today)


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
        day=Coalesce(
            Cast("animal__state_on", CharField()), Cast(TruncDate("recorded_at"), CharField())
        ),
        tell=how_it_died,
        animals=("animal",),
        related=("animal", "photograph"),
        words=(*ITS_WORDS, "circumstances", "findings", "examined_by"),
    ),
)
