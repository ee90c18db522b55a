"""What pairings tell: planned, together, apart, seen, scanned, how a season ended, nurseries."""

from django.db.models import Q
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import mark_safe

from breeding.animals.models import Animal
from breeding.pairings.models import NurseryTick, Outcome, Pairing, Rest, Scan, Sighting
from breeding.planning.models import PlannedPairing
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.entry import Telling, Told, linked_name
from breeding.records.chronicle.kinds import BIRTH, PAIRED, SCANNED, SEEN
from breeding.records.chronicle.source import Source, written_with
from breeding.words.days import long_day
from breeding.words.numbers import counted

BOTH = ("female__code", "female__call_name", "male__code", "male__call_name")
HER = ("female__code", "female__call_name")


def her_season(female_id: int) -> str:
    return reverse("pairings:female", args=[female_id])


def _with(others: list[Animal], word: str = "with") -> str:
    return format_html(" {} {}", word, linked_name(others[0])) if others else mark_safe("")


def seen(record: Sighting, telling: Telling) -> Told:
    me, others = telling.of(record.female, record.male)
    severity = "" if record.severity is None else f", severity {record.severity}"
    return Told(
        lead=str(record.kind),
        rest=format_html("{}{}", severity, _with(others)),
        subject=me,
        address=record.page_address,
        note=record.note,
        picture=record.picture,
    )


def planned(record: PlannedPairing, telling: Telling) -> Told:
    me, others = telling.of(record.female, record.male)
    return Told(
        lead="planned",
        rest=format_html("{}, not before {}", _with(others), long_day(record.not_before)),
        subject=me,
        address=reverse("planning:waiting"),
        note=record.note,
    )


def together(record: Pairing, telling: Telling) -> Told:
    me, others = telling.of(record.female, record.male)
    return Told(
        lead="put together",
        rest=_with(others),
        subject=me,
        address=record.get_absolute_url(),
        note="; ".join(one for one in (record.reason, record.note) if one),
    )


def apart(record: Pairing, telling: Telling) -> Told:
    me, others = telling.of(record.female, record.male)
    how = f": {record.get_moved_display()}" if record.moved else ""
    to = format_html(", to {}", linked_name(record.moved_to)) if record.moved_to else ""
    return Told(
        lead="taken apart",
        rest=format_html("{}{}{}", _with(others, "from"), how, to),
        subject=me,
        address=record.get_absolute_url(),
        note=record.separation_note,
    )


def scanned(record: Scan, telling: Telling) -> Told:
    found = "pups seen" if record.positive else "no pups seen"
    if record.positive and record.number_seen:
        found = f"{counted(record.number_seen, 'pup')} seen"
    by = f", by {record.done_by}" if record.done_by else ""
    return Told(
        lead="scanned",
        rest=f": {found}{by}",
        subject=record.female,
        address=her_season(record.female_id),
        note=record.note,
    )


def ended(record: Outcome, telling: Telling) -> Told:
    return Told(
        lead=record.get_kind_display(),
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
        lead="rests",
        rest=f" until {long_day(record.until)}, by the keeper's word",
        subject=female,
        address=her_season(female.pk),
        note=record.note,
    )


def ticked(record: NurseryTick, telling: Telling) -> Told:
    tank = format_html(", {}", linked_name(record.tank)) if record.tank else ""
    return Told(
        lead="nursery",
        rest=format_html(": {}{}", record.get_item_display(), tank),
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
