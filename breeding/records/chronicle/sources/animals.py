"""What animals tell: born, come, measured, pictured, gone, died."""

from typing import Any

from auditlog.models import LogEntry
from django.db.models import CharField, Exists, F, OuterRef, Prefetch, Q, QuerySet
from django.db.models.fields.json import KeyTextTransform, KeyTransform
from django.db.models.functions import Cast
from django.urls import reverse
from django.utils.html import format_html, format_html_join

from breeding.animals.models import Animal, Measurement, Photograph
from breeding.buyers.models import HandOver
from breeding.litters.models import Pup
from breeding.pairings.models import Sighting
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.entry import Telling, Told, linked_name
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
from breeding.words.sizes import length, weight

NAMES = ("code", "call_name")
ITS_NAMES = ("animal__code", "animal__call_name")
STATES = {
    Animal.State.HERE: (CAME, "is here from this day on"),
    Animal.State.ON_LOAN: (LEFT, "went on loan"),
    Animal.State.LEFT: (LEFT, "left"),
    Animal.State.DIED: (DIED, "died"),
}


def born(animal: Animal, telling: Telling) -> Told:
    parents = [linked_name(one) for one in (animal.dam, animal.sire) if one]
    said: list[str] = []
    if parents:
        said.append(format_html(" to " + " and ".join(["{}"] * len(parents)), *parents))
    for litter in [pup.litter for pup in animal.pups_it_is]:  # type: ignore[attr-defined]
        said.append(format_html(', in <a href="{}">{}</a>', litter.get_absolute_url(), str(litter)))
    if animal.origin in (Animal.Origin.WILD, Animal.Origin.BRED_ELSEWHERE):
        said.append(f", {animal.get_origin_display()}")
    known = animal.born_on is not None
    of_day = animal.born_precision == Animal.Precision.DAY
    return Told(
        lead="born" if known else "written down",
        rest=format_html_join("", "{}", [(one,) for one in said]),
        subject=animal,
        address=animal.get_absolute_url(),
        day_words=""
        if of_day
        else f"{born_words(animal.born_on, animal.born_precision)}, the day is unknown"
        if known
        else "the day of birth is unknown",
        is_of_the_year=animal.born_precision == Animal.Precision.YEAR,
    )


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
        f"{length(record.disc_width_mm, program.length_unit)} wide" if record.disc_width_mm else "",
        weight(record.weight_g, program.weight_unit) if record.weight_g else "",
        f"back {length(record.back_height_mm, program.length_unit)} high"
        if record.back_height_mm
        else "",
        f"girth {length(record.girth_mm, program.length_unit)}" if record.girth_mm else "",
        f"condition {record.condition} of 5" if record.condition is not None else "",
    ]
    return Told(
        lead="measured",
        rest=f": {', '.join(one for one in figures if one)}",
        subject=record.animal,
        address=record.animal.get_absolute_url(),
        note=record.note,
        day_words="" if record.on else "the day of the measuring is unknown",
    )


def pictured(record: Photograph, telling: Telling) -> Told:
    return Told(
        lead="drawn" if record.is_drawing else "photographed",
        rest="",
        subject=record.animal,
        address=reverse("animals:picture", args=[record.pk]),
        note=record.caption,
        picture=record,
        day_words="" if record.taken_on else "the day of the picture is unknown",
    )


def not_of_a_sighting(asked: Asked) -> Q:
    """What shows a sighting stands with it."""
    return ~Q(Exists(Sighting.objects.filter(photograph=OuterRef("pk"))))


def in_state(animal: Animal, telling: Telling) -> Told:
    _, words = STATES[Animal.State(animal.state)]
    return Told(lead=words, subject=animal, address=animal.get_absolute_url())


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
        lead=words,
        subject=animal.subject if animal else None,
        address=animal.address if animal else "",
        slip_words="changed since" if state == Animal.State.DIED else "",
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
GOING = (_now(LEFT), _before(LEFT), _now(DIED), _before(DIED))
