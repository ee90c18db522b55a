"""What was recorded of pairings and females put right: changed, and brought back."""

import datetime
from typing import BinaryIO

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.away.here import check_was_here
from breeding.animals.models import Animal, Photograph
from breeding.animals.pictures.portraits import ReadPicture
from breeding.animals.services import add_photograph
from breeding.housing.models import Tank
from breeding.pairings.allowed import check_not_together_already, check_plan, check_two
from breeding.pairings.models import Outcome, Pairing, Scan, Sighting, SignKind
from breeding.pairings.season.seen import seen_on
from breeding.pairings.services import (
    check_day_of,
    check_scan,
    check_sighting,
)
from breeding.program.models import Person, Program
from breeding.program.problems import constraints
from breeding.program.services import bring_back
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import percent

# ------------------------------------------------------------------------------------ sightings


@transaction.atomic
def change_sighting(
    sighting: Sighting,
    *,
    female: Animal,
    kind: SignKind,
    seen_at: datetime.datetime,
    now: datetime.datetime,
    by: Person | None,
    male: Animal | None = None,
    severity: int | None = None,
    note: str = "",
    photograph: BinaryIO | ReadPicture | None = None,
    without_photograph: bool = False,
) -> Sighting:
    """Another female, sign, time, male, severity, note or photograph; her picture goes with it.

    A new photograph takes the place of the one before, which stays among her pictures.
    """
    on = check_sighting(female, kind, seen_at, now=now, male=male, note=note)
    if photograph is not None:
        sighting.photograph = add_photograph(
            female, photograph, by=by, taken_on=on, caption=kind.label, as_portrait=False
        )
    elif without_photograph:
        sighting.photograph = None
    elif sighting.photograph is not None:
        _let_follow(sighting.photograph, sighting, female, kind, on)
    sighting.female, sighting.kind, sighting.seen_at, sighting.male = female, kind, seen_at, male
    sighting.severity = severity if kind.asks_severity else None
    sighting.note = note.strip()
    sighting.full_clean(validate_constraints=False)
    sighting.save()
    return sighting


def _let_follow(
    picture: Photograph, sighting: Sighting, female: Animal, kind: SignKind, on: datetime.date
) -> None:
    """The picture of what was seen is of the female that was seen, on the day it was seen.

    What somebody wrote of the picture itself since stays.
    """
    if picture.taken_on == seen_on(sighting):
        picture.taken_on = on
    if picture.animal_id == sighting.female_id != female.pk:
        for animal in Animal.objects.filter(portrait=picture):
            animal.portrait = None
            animal.save(update_fields=["portrait"])
        picture.animal = female
    if picture.caption in (sighting.kind.label, sighting.kind.said):
        picture.caption = kind.label
    picture.save()


@transaction.atomic
def bring_back_sighting(sighting: Sighting, *, now: datetime.datetime) -> Sighting:
    """It counts again, unless it cannot have been by what is on record now."""
    check_sighting(
        sighting.female,
        sighting.kind,
        sighting.seen_at,
        now=now,
        male=sighting.male,
        note=sighting.note,
    )
    return bring_back(sighting)


# ---------------------------------------------------------------------------------------- scans


@transaction.atomic
def change_scan(
    scan: Scan,
    *,
    female: Animal,
    on: datetime.date,
    positive: bool,
    today: datetime.date,
    number_seen: int | None = None,
    done_by: str = "",
    note: str = "",
) -> Scan:
    """Another female, day, finding or note of a scan."""
    check_day_of(female, on, today)
    check_scan(positive, number_seen)
    scan.female, scan.on, scan.positive, scan.number_seen = female, on, positive, number_seen
    scan.done_by, scan.note = done_by.strip(), note.strip()
    scan.full_clean()
    scan.save()
    return scan


@transaction.atomic
def bring_back_scan(scan: Scan, *, today: datetime.date) -> Scan:
    """It counts again, unless she cannot have been scanned on that day."""
    check_day_of(scan.female, scan.on, today)
    return bring_back(scan)


# ------------------------------------------------------------------------------------- pairings


@transaction.atomic
def change_pairing(
    pairing: Pairing,
    *,
    introduced_on: datetime.date,
    separated_on: datetime.date | None,
    program: Program,
    today: datetime.date,
    separation_planned_on: datetime.date | None = None,
    moved: str = "",
    moved_to: Tank | None = None,
    separation_note: str = "",
    reason: str = "",
    note: str = "",
) -> Pairing:
    """Other days, another way they were parted, another reason or note; nobody is moved by it.

    Without `separated_on` they are together still: the separation is taken back with all that
    was said of it. Raises ValidationError, by field.
    """
    female, male = pairing.female, pairing.male
    for animal in (female, male):  # somebody else may have written down since that it died
        animal.refresh_from_db(fields=["state", "state_on", "recorded_at"])
    _check_days(pairing, introduced_on, separated_on, today)
    check_plan(introduced_on, separation_planned_on)
    check_not_together_already(female, male, introduced_on, separated_on, besides=pairing)
    if separated_on is None:
        moved, moved_to, separation_note = "", None, ""
    if moved_to is not None and moved not in (Pairing.Moved.MALE, Pairing.Moved.FEMALE):
        raise ValidationError(
            {"moved": tell("Who was moved to {tank}? Choose the male or her.", tank=moved_to)}
        )
    if pairing.reason and not reason.strip() and _needs_reason(pairing, program):
        limit = percent(program.inbreeding_needs_reason)
        raise ValidationError(
            {"reason": tell("From F {limit} on this program keeps a reason.", limit=limit)}
        )
    pairing.introduced_on, pairing.separated_on = introduced_on, separated_on
    pairing.separation_planned_on = separation_planned_on
    pairing.moved, pairing.moved_to = moved, moved_to
    pairing.separation_note = separation_note.strip()
    pairing.reason, pairing.note = reason.strip(), note.strip()
    pairing.full_clean(validate_constraints=False)
    with constraints.named(pairing):
        pairing.save()
    return pairing


def _check_days(
    pairing: Pairing,
    introduced_on: datetime.date,
    separated_on: datetime.date | None,
    today: datetime.date,
) -> None:
    for field, on in (("introduced_on", introduced_on), ("separated_on", separated_on)):
        if on is not None and on > today:
            raise ValidationError(
                {field: tell("{day} is still to come; today or before.", day=long_day(on))}
            )
    if separated_on is not None and separated_on < introduced_on:
        raise ValidationError(
            {
                "separated_on": tell(
                    "{day} is before they were introduced ({introduced}).",
                    day=long_day(separated_on),
                    introduced=long_day(introduced_on),
                )
            }
        )
    takes_back = separated_on is None and pairing.separated_on is not None
    for animal in (pairing.female, pairing.male):
        check_was_here(animal, introduced_on, "introduced_on")
        if takes_back:
            check_was_here(animal, today, "separated_on")


def _needs_reason(pairing: Pairing, program: Program) -> bool:
    return pairing.inbreeding_expected >= program.inbreeding_needs_reason


@transaction.atomic
def bring_back_pairing(pairing: Pairing) -> Pairing:
    """It counts again, unless the two are on record as together in its time already."""
    check_two(pairing.female, pairing.male)
    for animal in (pairing.female, pairing.male):
        check_was_here(animal, pairing.introduced_on, "introduced_on")
    check_pairing_stands_alone(pairing)
    return bring_back(pairing)


def check_pairing_stands_alone(pairing: Pairing) -> None:
    """Raise ValidationError when another pairing of the two shares its time."""
    check_not_together_already(
        pairing.female,
        pairing.male,
        pairing.introduced_on,
        pairing.separated_on,
        besides=pairing,
    )


# ------------------------------------------------------------------------------------- outcomes


@transaction.atomic
def change_outcome(
    outcome: Outcome, *, kind: str, on: datetime.date, today: datetime.date, note: str = ""
) -> Outcome:
    """Another end of a season, another day or note. A birth is changed with its litter.

    Raises ValidationError, by field, also when a rest or a tick rests on it as it was.
    """
    if hasattr(outcome, "litter"):
        raise ValidationError(
            tell("This birth belongs to {litter}; change it there.", litter=outcome.litter)
        )
    check_day_of(outcome.female, on, today)
    rest = outcome.rests.filter(withdrawn_at__isnull=True).order_by("until").first()
    tick = outcome.nursery_ticks.filter(withdrawn_at__isnull=True).order_by("on").first()
    if kind not in Outcome.BIRTHS and (rest or tick):
        raise ValidationError(
            {
                "kind": tell(
                    "“{record}” is on record after this birth; withdraw that first.",
                    record=rest or tick,
                )
            }
        )
    last = min((one for one in (rest and rest.until, tick and tick.on) if one), default=None)
    if last is not None and on > last:
        raise ValidationError(
            {
                "on": tell(
                    "What followed this birth is on record for {day}, before that.",
                    day=long_day(last),
                )
            }
        )
    outcome.kind, outcome.on, outcome.note = kind, on, note.strip()
    outcome.full_clean()
    outcome.save()
    return outcome


@transaction.atomic
def bring_back_outcome(outcome: Outcome, *, today: datetime.date) -> Outcome:
    """The season ended so after all, unless another end was written down for it since."""
    if hasattr(outcome, "litter"):
        raise ValidationError(
            tell("This birth belongs to {litter}; bring that back.", litter=outcome.litter)
        )
    check_day_of(outcome.female, outcome.on, today)
    if outcome.withdrawn_at is not None:
        check_not_closed_since(outcome, outcome.withdrawn_at)
    return bring_back(outcome)


def check_not_closed_since(outcome: Outcome, at: datetime.datetime) -> None:
    """Raise ValidationError when the season it closes was closed otherwise after a moment.

    Of two ends with no pairing begun between their days the second closes nothing.
    """
    standing = Outcome.objects.filter(female=outcome.female_id, withdrawn_at__isnull=True)
    for other in standing.filter(recorded_at__gt=at).exclude(pk=outcome.pk):
        first, last = sorted((outcome.on, other.on))
        between = Pairing.objects.filter(
            female=outcome.female_id,
            withdrawn_at__isnull=True,
            introduced_on__gte=first,
            introduced_on__lt=last,
        )
        if not between.exists():
            raise ValidationError(
                tell(
                    "“{kind}” on {day} has been written down for this season of {female} "
                    "since; withdraw that first.",
                    kind=other.get_kind_display(),
                    day=long_day(other.on),
                    female=outcome.female.name,
                )
            )
