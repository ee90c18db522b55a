"""What pairings tell: planned, together, apart, seen, scanned, how a season ended, nurseries."""

from django.db.models import Q
from django.urls import reverse

from breeding.pairings.models import NurseryTick, Outcome, Pairing, Rest, Scan, Sighting
from breeding.planning.models import PlannedPairing
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.entry import Telling, Told, linked_name, phrase
from breeding.records.chronicle.kinds import BIRTH, PAIRED, SCANNED, SEEN
from breeding.records.chronicle.source import Source, written_with
from breeding.words.days import long_day
from breeding.words.language import message, tell, tell_many
from breeding.words.stored import read_stored

BOTH = ("female__code", "female__call_name", "male__code", "male__call_name")
HER = ("female__code", "female__call_name")


def her_season(female_id: int) -> str:
    return reverse("pairings:female", args=[female_id])


def seen(record: Sighting, telling: Telling) -> Told:
    me, others = telling.of(record.female, record.male)
    words = phrase(message("[{words}]"), words=str(record.kind))
    if record.severity is not None:
        severity = message("{this}, severity {severity}")
        words = words.followed_by(severity, severity=record.severity)
    if others:
        words = words.followed_by(message("{this} with {animal}"), animal=linked_name(others[0]))
    return Told(
        words,
        subject=me,
        address=record.page_address,
        note=record.note,
        picture=record.picture,
    )


def planned(record: PlannedPairing, telling: Telling) -> Told:
    me, others = telling.of(record.female, record.male)
    return Told(
        phrase(
            message("[planned] with {animal}, not before {day}"),
            animal=linked_name(others[0]),
            day=long_day(record.not_before),
        ),
        subject=me,
        address=reverse("planning:waiting"),
        note=record.note,
    )


def together(record: Pairing, telling: Telling) -> Told:
    me, others = telling.of(record.female, record.male)
    return Told(
        phrase(message("[put together] with {animal}"), animal=linked_name(others[0])),
        subject=me,
        address=record.get_absolute_url(),
        note="; ".join(one for one in (record.reason, record.note) if one),
    )


def apart(record: Pairing, telling: Telling) -> Told:
    me, others = telling.of(record.female, record.male)
    words = phrase(message("[taken apart] from {animal}"), animal=linked_name(others[0]))
    if record.moved:
        moved = record.get_moved_display()
        words = words.followed_by(message("{this}: {moved}"), moved=moved)
    if record.moved_to:
        tank = linked_name(record.moved_to)
        words = words.followed_by(message("{this}, to {tank}"), tank=tank)
    return Told(
        words,
        subject=me,
        address=record.get_absolute_url(),
        note=read_stored(record.separation_note),
    )


def scanned(record: Scan, telling: Telling) -> Told:
    found = tell("pups seen") if record.positive else tell("no pups seen")
    if record.positive and record.number_seen:
        found = tell_many("{number} pup seen", "{number} pups seen", record.number_seen)
    by = record.done_by
    return Told(
        phrase(message("[scanned]: {found}, by {person}"), found=found, person=by)
        if by
        else phrase(message("[scanned]: {found}"), found=found),
        subject=record.female,
        address=her_season(record.female_id),
        note=read_stored(record.note),
    )


def ended(record: Outcome, telling: Telling) -> Told:
    return Told(
        phrase(message("[{words}]"), words=record.get_kind_display()),
        subject=record.female,
        address=her_season(record.female_id),
        note=record.note,
    )


def without_a_litter(asked: Asked) -> Q:
    """A birth with its pups is told by the litter."""
    return Q(litter__isnull=True)


def rests(record: Rest, telling: Telling) -> Told:
    female = record.outcome.female
    return Told(
        phrase(message("[rests] until {day}, by the keeper's word"), day=long_day(record.until)),
        subject=female,
        address=her_season(female.pk),
        note=record.note,
    )


def ticked(record: NurseryTick, telling: Telling) -> Told:
    words = phrase(message("[nursery]: {item}"), item=record.get_item_display())
    if record.tank:
        words = words.followed_by(message("{this}, {tank}"), tank=linked_name(record.tank))
    return Told(
        words,
        subject=record.female,
        address=reverse("pairings:nursery", args=[record.female_id]),
    )


SOURCES = (
    Source(
        kind=PAIRED,
        model=PlannedPairing,
        day="recorded_at",
        tell=planned,
        animals=("female", "male"),
        related=("female", "male"),
        words=("note", *BOTH),
    ),
    Source(
        kind=PAIRED,
        model=Pairing,
        day="introduced_on",
        tell=together,
        animals=("female", "male"),
        related=("female", "male"),
        words=("note", "reason", *BOTH),
    ),
    Source(
        kind=SEEN,
        model=Sighting,
        day="seen_at",
        tell=seen,
        animals=("female", "male"),
        related=("female", "male", "kind", "photograph"),
        words=("note", "kind__label", *BOTH),
    ),
    Source(
        kind=PAIRED,
        model=Pairing,
        day="separated_on",
        tell=apart,
        animals=("female", "male"),
        related=("female", "male", "moved_to"),
        words=("separation_note", *BOTH),
        **written_with(Pairing, "separated_on"),
    ),
    Source(
        kind=SCANNED,
        model=Scan,
        day="on",
        tell=scanned,
        animals=("female",),
        related=("female",),
        words=("note", "done_by", *HER),
    ),
    Source(
        kind=BIRTH,
        model=NurseryTick,
        day="on",
        tell=ticked,
        animals=("female",),
        related=("female", "tank"),
        words=("tank__name", *HER),
    ),
    Source(
        kind=BIRTH,
        model=Outcome,
        day="on",
        tell=ended,
        animals=("female",),
        related=("female",),
        words=("note", *HER),
        only=without_a_litter,
    ),
    Source(
        kind=BIRTH,
        model=Rest,
        day="recorded_at",
        tell=rests,
        animals=("outcome__female",),
        related=("outcome__female",),
        words=("note", "outcome__female__code", "outcome__female__call_name"),
    ),
)
