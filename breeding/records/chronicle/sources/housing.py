"""What tanks tell: who moved, whose water was tested, where all were looked at."""

from django.db.models import Exists, F, OuterRef, Q
from django.urls import reverse
from django.utils.html import format_html

from breeding.housing.models import Look, Stay, TankWork, WaterChange, WaterTest
from breeding.housing.water.queries import values_in_words
from breeding.housing.work.queries import change_words
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.entry import Telling, Told, linked_name
from breeding.records.chronicle.kinds import LOOKED, MOVED, TANK_CARE, WATER, WATER_CHANGED
from breeding.records.chronicle.source import Source, written_with


def moved(stay: Stay, telling: Telling) -> Told:
    side = f", {stay.get_side_display()}" if stay.side else ""
    return Told(
        lead="moved",
        rest=format_html(" to {}{}", linked_name(stay.tank), side),
        subject=stay.animal,
        address=reverse("housing:stays", args=[stay.animal_id]),
    )


def taken_out(stay: Stay, telling: Telling) -> Told:
    return Told(
        lead="taken out",
        rest=format_html(" of {}, into no tank on record", linked_name(stay.tank)),
        subject=stay.animal,
        address=reverse("housing:stays", args=[stay.animal_id]),
    )


def into_no_tank(asked: Asked) -> Q:
    """It ended, no stay follows on that day, and the animal did not leave or die on it."""
    following = Stay.objects.filter(animal=OuterRef("animal"), since=OuterRef("until"))
    gone = Q(animal__state__in=["left", "died"], animal__state_on=F("until"))
    return Q(withdrawn_at__isnull=True) & ~Q(Exists(following)) & ~gone


def tested(test: WaterTest, telling: Telling) -> Told:
    values = ", ".join(
        f"{name} {value}" for name, value, _ in values_in_words(test, telling.program)
    )
    return Told(
        lead="water tested",
        rest=f": {values}",
        subject=test.tank,
        address=test.get_absolute_url(),
        note=test.note,
    )


def changed(change: WaterChange, telling: Telling) -> Told:
    return Told(
        lead="water changed",
        rest=f": {change_words(change, telling.program)}",
        subject=change.tank,
        address=change.get_absolute_url(),
        note=change.note,
    )


def cared_for(work: TankWork, telling: Telling) -> Told:
    return Told(
        lead="tank seen to",
        rest=f": {work.get_kind_display()}",
        subject=work.tank,
        address=work.get_absolute_url(),
        note=work.note,
    )


def looked_at(look: Look, telling: Telling) -> Told:
    return Told(
        lead="looked at",
        rest=": all in it, and nothing to see",
        subject=look.tank,
        address=look.tank.get_absolute_url(),
    )


ITS_WORDS = ("animal__code", "animal__call_name", "tank__name")

SOURCES = (
    Source(
        kind=LOOKED,
        model=Look,
        day="on",
        tell=looked_at,
        related=("tank",),
        words=("tank__name",),
    ),
    Source(
        kind=WATER,
        model=WaterTest,
        day="tested_at",
        tell=tested,
        related=("tank",),
        words=("tank__name", "note"),
    ),
    Source(
        kind=WATER_CHANGED,
        model=WaterChange,
        day="changed_at",
        tell=changed,
        related=("tank", "source"),
        words=("tank__name", "source__name", "note"),
    ),
    Source(
        kind=TANK_CARE,
        model=TankWork,
        day="on",
        tell=cared_for,
        related=("tank",),
        words=("tank__name", "note"),
    ),
    Source(
        kind=MOVED,
        model=Stay,
        day="since",
        tell=moved,
        animals=("animal",),
        related=("animal", "tank"),
        words=ITS_WORDS,
    ),
    Source(
        kind=MOVED,
        model=Stay,
        day="until",
        tell=taken_out,
        animals=("animal",),
        related=("animal", "tank"),
        words=ITS_WORDS,
        only=into_no_tank,
        **written_with(Stay, "until"),
    ),
)
