"""What tanks tell: who moved, whose water was tested, where all were looked at."""

from django.db.models import Exists, F, OuterRef, Q
from django.urls import reverse

from breeding.housing.models import Look, Stay, TankWork, WaterChange, WaterTest
from breeding.housing.water.queries import values_in_words
from breeding.housing.work.queries import change_words
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.entry import Telling, Told, linked_name, phrase
from breeding.records.chronicle.kinds import LOOKED, MOVED, TANK_CARE, WATER, WATER_CHANGED
from breeding.records.chronicle.source import Source, written_with
from breeding.words.language import message


def moved(stay: Stay, telling: Telling) -> Told:
    tank = linked_name(stay.tank)
    return Told(
        phrase(message("[moved] to {tank}, {side}"), tank=tank, side=stay.get_side_display())
        if stay.side
        else phrase(message("[moved] to {tank}"), tank=tank),
        subject=stay.animal,
        address=reverse("housing:stays", args=[stay.animal_id]),
    )


def taken_out(stay: Stay, telling: Telling) -> Told:
    return Told(
        phrase(
            message("[taken out] of {tank}, into no tank on record"), tank=linked_name(stay.tank)
        ),
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
        phrase(message("[water tested]: {values}"), values=values),
        subject=test.tank,
        address=test.get_absolute_url(),
        note=test.note,
    )


def changed(change: WaterChange, telling: Telling) -> Told:
    return Told(
        phrase(
            message("[water changed]: {how_much}"), how_much=change_words(change, telling.program)
        ),
        subject=change.tank,
        address=change.get_absolute_url(),
        note=change.note,
    )


def cared_for(work: TankWork, telling: Telling) -> Told:
    return Told(
        phrase(message("[tank seen to]: {work}"), work=work.get_kind_display()),
        subject=work.tank,
        address=work.get_absolute_url(),
        note=work.note,
    )


def looked_at(look: Look, telling: Telling) -> Told:
    return Told(
        phrase(message("[looked at]: all in it, and nothing to see")),
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
