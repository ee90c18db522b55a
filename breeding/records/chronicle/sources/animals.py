"""What animals tell: born, come, measured, pictured, gone, died."""

from typing import Any

from auditlog.models import LogEntry
from django.db.models import CharField, Exists, F, OuterRef, Prefetch, Q, QuerySet
from django.db.models.fields.json import KeyTextTransform, KeyTransform
from django.db.models.functions import Cast, Coalesce, TruncDate
from django.urls import reverse
from django.utils.html import format_html

from breeding.animals.models import Animal, Measurement, Photograph
from breeding.buyers.models import HandOver
from breeding.litters.models import Pup
from breeding.pairings.models import Sighting
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.entry import Phrase, Telling, Told, linked_name, phrase
from breeding.records.chronicle.kinds import (
    BORN,
    CAME,
    DIED,
    LEFT,
    MEASURED,
    PICTURED,
    Kind,
)
from breeding.records.chronicle.source import Source, written_with
from breeding.words.days import born_words
from breeding.words.language import message, tell
from breeding.words.sizes import length, weight
from breeding.words.stored import read_stored

NAMES = ("code", "call_name")
ITS_NAMES = ("animal__code", "animal__call_name")
STATES = {
    Animal.State.HERE: (CAME, message("[is here from this day on]")),
    Animal.State.ON_LOAN: (LEFT, message("[went on loan]")),
    Animal.State.LEFT: (LEFT, message("[left]")),
    Animal.State.DIED: (DIED, message("[died]")),
}


def born(animal: Animal, telling: Telling) -> Told:
    known = animal.born_on is not None
    of_day = animal.born_precision == Animal.Precision.DAY
    words = _of_its_parents(animal, known=known)
    for litter in [pup.litter for pup in animal.pups_it_is]:  # type: ignore[attr-defined]
        link = format_html('<a href="{}">{}</a>', litter.get_absolute_url(), str(litter))
        words = words.followed_by(message("{this}, in {litter}"), litter=link)
    if animal.origin in (Animal.Origin.WILD, Animal.Origin.BRED_ELSEWHERE):
        words = words.followed_by(message("{this}, {origin}"), origin=animal.get_origin_display())
    return Told(
        words,
        subject=animal,
        address=animal.get_absolute_url(),
        day_words=""
        if of_day
        else tell(
            "{month_or_year}, the day is unknown",
            month_or_year=born_words(animal.born_on, animal.born_precision),
        )
        if known
        else tell("the day of birth is unknown"),
        is_of_the_year=animal.born_precision == Animal.Precision.YEAR,
    )


def _of_its_parents(animal: Animal, *, known: bool) -> Phrase:
    """Born, or only written down, to whom of its parents is on record."""
    parents = [linked_name(one) for one in (animal.dam, animal.sire) if one]
    if not parents:
        return phrase(message("[born]") if known else message("[written down]"))
    if len(parents) == 1:
        one = message("[born] to {parent}") if known else message("[written down] to {parent}")
        return phrase(one, parent=parents[0])
    both = (
        message("[born] to {dam} and {sire}")
        if known
        else message("[written down] to {dam} and {sire}")
    )
    return phrase(both, dam=parents[0], sire=parents[1])


def without_pups(asked: Asked) -> Q:
    """A birth is told of its pups together; of one animal, its own."""
    is_pup = Q(Exists(Pup.objects.filter(animal=OuterRef("pk"))))
    return Q() if asked.animals is not None else ~is_pup


def with_its_litter(rows: QuerySet[Any]) -> QuerySet[Any]:
    pups = Pup.objects.filter(litter__withdrawn_at__isnull=True).select_related("litter")
    return rows.prefetch_related(Prefetch("pup_rows", queryset=pups, to_attr="pups_it_is"))


def measured(record: Measurement, telling: Telling) -> Told:
    program = telling.program
    figures = [
        tell("{width} wide", width=length(record.disc_width_mm, program.length_unit))
        if record.disc_width_mm
        else "",
        weight(record.weight_g, program.weight_unit) if record.weight_g else "",
        tell("back {height} high", height=length(record.back_height_mm, program.length_unit))
        if record.back_height_mm
        else "",
        tell("girth {girth}", girth=length(record.girth_mm, program.length_unit))
        if record.girth_mm
        else "",
        tell("condition {condition} of 5", condition=record.condition)
        if record.condition is not None
        else "",
    ]
    return Told(
        phrase(message("[measured]: {figures}"), figures=", ".join(filter(None, figures))),
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note=read_stored(record.note),
        day_words="" if record.on else tell("the day of the measuring is unknown"),
    )


def pictured(record: Photograph, telling: Telling) -> Told:
    return Told(
        phrase(message("[drawn]") if record.is_drawing else message("[photographed]")),
        subject=record.animal,
        address=reverse("animals:picture", args=[record.pk]),
        note=read_stored(record.caption),
        picture=record,
        day_words="" if record.taken_on else tell("the day of the picture is unknown"),
    )


def not_of_a_sighting(asked: Asked) -> Q:
    """What shows a sighting stands with it."""
    return ~Q(Exists(Sighting.objects.filter(photograph=OuterRef("pk"))))


def in_state(animal: Animal, telling: Telling) -> Told:
    _, words = STATES[Animal.State(animal.state)]
    return Told(phrase(words), subject=animal, address=animal.get_absolute_url())


def died_some_day(animal: Animal, telling: Telling) -> Told:
    return Told(
        phrase(message("[died]")),
        subject=animal,
        address=animal.get_absolute_url(),
        day_words=tell("the day of its death is unknown"),
    )


def without_a_day(asked: Asked) -> Q:
    return Q(state=Animal.State.DIED, state_on__isnull=True)


def _written_as_dead() -> Source:
    """One of which nobody knows when it died stands where it was written down as dead."""
    written = written_with(Animal, "state")
    since = Coalesce(written["written"], F("recorded_at"))
    return Source(
        kind=DIED,
        model=Animal,
        day=Cast(TruncDate(since), CharField()),
        tell=died_some_day,
        animals=("pk",),
        words=NAMES,
        only=without_a_day,
        **written,
    )


def _handed_over(animal: str, day: str) -> Exists:
    """A hand-over of the animal that left or came back on this day tells it itself."""
    gone = HandOver.objects.annotate(
        went=Cast("on", CharField()), back=Cast("came_back_on", CharField())
    ).filter(animal=OuterRef(animal))
    return Exists(gone.filter(Q(went=OuterRef(day)) | Q(back=OuterRef(day))))


def _states(kind: Kind) -> list[str]:
    return [str(state) for state, (one, _) in STATES.items() if one == kind]


def _now(kind: Kind) -> Source:
    """The state that it is in, from the day of which it is on record."""

    def only(asked: Asked) -> Q:
        since_birth = Q(state=Animal.State.HERE, born_on=F("state_on"))
        return Q(state__in=_states(kind)) & ~since_birth & ~Q(_handed_over("pk", "as_text"))

    return Source(
        kind=kind,
        model=Animal,
        day="state_on",
        tell=in_state,
        animals=("pk",),
        words=NAMES,
        only=only,
        before={"as_text": Cast("state_on", CharField())},
        **written_with(Animal, "state"),
    )


def _side(name: str, place: int) -> Cast:
    """What the history keeps of a field before (0) and after (1) a change, as plain text."""
    return Cast(KeyTextTransform(place, KeyTransform(name, "changes")), CharField())


def _later() -> QuerySet[Any]:
    found: QuerySet[Any] = LogEntry.objects.filter(
        content_type=OuterRef("content_type"),
        object_id=OuterRef("object_id"),
        pk__gt=OuterRef("pk"),
        changes__has_key="state",
    )
    return found


def was_in_state(entry: LogEntry, telling: Telling) -> Told:
    animal = telling.records.get((Animal, entry.object_id))
    state = entry.changes["state"][1]
    _, words = STATES[Animal.State(state)]
    return Told(
        phrase(words),
        subject=animal.subject if animal else None,
        address=animal.address if animal else "",
        slip_words=tell("changed since") if state == Animal.State.DIED else "",
    )


def _before(kind: Kind) -> Source:
    """A state that it was in and is no more, out of the history; a death undone was a slip."""

    def only(asked: Asked) -> Q:
        since_birth = Exists(
            Animal.objects.annotate(born_text=Cast("born_on", CharField())).filter(
                pk=OuterRef("object_id"), born_text=OuterRef("told_on")
            )
        )
        found = Q(content_type__app_label="animals", content_type__model="animal")
        found &= Q(new_state__in=_states(kind), told_on__regex=r"^\d{4}-\d\d-\d\d$")
        found &= Q(Exists(_later())) & ~Q(_handed_over("object_id", "told_on"))
        if kind == CAME:
            found &= ~Q(since_birth)
        return found if kind != DIED or asked.withdrawn else Q(pk__in=[])

    def about(animals: list[Animal]) -> Q:
        return Q(object_id__in=[one.pk for one in animals])

    return Source(
        kind=kind,
        model=LogEntry,
        day=_side("state_on", 1),
        tell=was_in_state,
        about=about,
        related=("content_type",),
        words=("object_repr",),
        only=only,
        before={"new_state": _side("state", 1)},
        written="timestamp",
        by="actor",
    )


SOURCES = (
    Source(
        kind=BORN,
        model=Animal,
        day="born_on",
        or_written=True,
        tell=born,
        animals=("pk",),
        related=("dam", "sire"),
        prepared=with_its_litter,
        words=(*NAMES, "markings", "note"),
        only=without_pups,
    ),
    _now(CAME),
    _before(CAME),
    Source(
        kind=MEASURED,
        model=Measurement,
        day="on",
        or_written=True,
        tell=measured,
        animals=("animal",),
        related=("animal",),
        words=("note", *ITS_NAMES),
    ),
    Source(
        kind=PICTURED,
        model=Photograph,
        day="taken_on",
        or_written=True,
        tell=pictured,
        animals=("animal",),
        related=("animal",),
        words=("caption", *ITS_NAMES),
        only=not_of_a_sighting,
    ),
)
GOING = (_now(LEFT), _before(LEFT), _now(DIED), _written_as_dead(), _before(DIED))
