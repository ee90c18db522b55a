"""Acts at the tank: pairing, separating, logging what was seen."""

import datetime
from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import BinaryIO

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from breeding.animals import lineage
from breeding.animals.away.here import check_was_here
from breeding.animals.models import Animal
from breeding.animals.pictures.portraits import ReadPicture
from breeding.animals.services import add_photograph
from breeding.housing.models import Tank
from breeding.pairings.allowed import check_pairing, check_parting, check_plan, check_two
from breeding.pairings.care.parting import close_between, end_others, move_apart
from breeding.pairings.company.together import doubts_of_two, move_together
from breeding.pairings.models import (
    Outcome,
    Pairing,
    Scan,
    Sighting,
    SignKind,
)
from breeding.program.acts.together import write_together
from breeding.program.models import Person, Program
from breeding.program.problems.doubts import Doubt, ask, asked_with
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging,
    settled,
    written_of,
)
from breeding.program.services import withdraw
from breeding.words.days import long_day, moment_in_figures
from breeding.words.language import tell, tell_many


@transaction.atomic
def open_pairing(
    *,
    female: Animal,
    male: Animal,
    introduced_on: datetime.date,
    program: Program,
    by: Person | None,
    today: datetime.date,
    separated_on: datetime.date | None = None,
    separation_planned_on: datetime.date | None = None,
    reason: str = "",
    note: str = "",
    moved: str = "",
    sure: Collection[str] = frozenset(),
) -> Pairing:
    """Put a female and a male together; `separation_planned_on` ends the time meant for them.

    From the program's threshold on, a reason is asked for and kept: the keeper decides.
    moved: who is moved to the other's tank in the same act, "male" or "female"; "" for nobody.
    Raises DoubtError, which `sure` answers, for what else speaks against the two, and against
    whoever the one that is moved meets there.
    """
    for animal in (female, male):  # somebody else may have handed it over since
        animal.refresh_from_db(fields=["sex", "state", "state_on", "withdrawn_at"])
    known = lineage.current()
    others = Pairing.objects.filter(female=female, male=male, withdrawn_at__isnull=True)
    pairing = Pairing(
        female=female,
        male=male,
        introduced_on=introduced_on,
        separation_planned_on=separation_planned_on,
        reason=reason.strip(),
        note=note.strip(),
        recorded_by=by,
    )
    check_pairing(
        pairing,
        others,
        known=known,
        kinship=known.pedigree.kinship,
        program=program,
        today=today,
        until=separated_on,
    )
    doubts: list[Doubt] = []
    if separated_on is None:
        doubts = list(doubts_of_two(female, male, on=introduced_on, program=program))
    pairing.full_clean(validate_constraints=False)
    if separated_on is not None:
        check_parting(pairing, separated_on, today)
        pairing.separated_on = separated_on  # at once: meanwhile they may be together again
    pairing.save()
    if moved:
        with asked_with(doubts):
            pairing.follows = move_together(pairing, moved, by=by, sure=sure, reason=reason)
    ask(doubts, sure, reason)
    return pairing


@transaction.atomic
def plan_separation(pairing: Pairing, *, on: datetime.date | None) -> Pairing:
    """Set, change or drop the keeper's own end of the time meant for the two."""
    _check_open(pairing)
    check_plan(pairing.introduced_on, on)
    pairing.separation_planned_on = on
    pairing.save()
    return pairing


def _check_open(pairing: Pairing) -> None:
    pairing.refresh_from_db()  # somebody else may have ended it since the page was shown
    if pairing.is_withdrawn:
        raise ValidationError(tell("This pairing has been withdrawn."))
    if pairing.separated_on is not None:
        raise ValidationError(
            tell(
                "{pair} have been apart since {day} already.",
                pair=pairing,
                day=long_day(pairing.separated_on),
            )
        )


@transaction.atomic
def separate(
    pairing: Pairing,
    *,
    on: datetime.date,
    today: datetime.date,
    note: str = "",
    moved: str = "",
    tank: Tank | None = None,
    side: str = "",
    left: Iterable[Animal] = (),
    right: Iterable[Animal] = (),
    by: Person | None = None,
    sure: Collection[str] = frozenset(),
    reason: str = "",
) -> Pairing:
    """Take the two apart, and move the animal or close the divider in the same act.

    moved: who was moved (Pairing.Moved), or nothing when that is not known: then nobody is moved
    on record. tank, side: where the male or the female was put; with neither, an animal that
    shares a tank with the other is in no tank from then on. left, right: who is where once the
    divider is closed. Other open pairings of those moved end as well when the two are then on
    record in different waters. Raises ValidationError, by field.
    """
    _check_open(pairing)
    check_parting(pairing, on, today)
    if moved == Pairing.Moved.DIVIDER:
        parted = close_between(pairing, on, list(left), list(right), by)
    else:
        parted = move_apart(pairing, moved, tank, side, on, by, sure, reason)
    pairing.separated_on = on
    pairing.separation_note = note.strip()
    pairing.moved, pairing.moved_to = moved, tank
    pairing.full_clean(validate_constraints=False)
    pairing.save()
    end_others(parted, pairing)
    return pairing


@transaction.atomic
def log_sighting(
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
    is_drawing: bool = False,
) -> Sighting:
    """Write down what was seen; when nothing is said of the male, none is guessed."""
    sighting = Sighting(
        female=female,
        kind=kind,
        seen_at=seen_at,
        male=male,
        severity=severity if kind.asks_severity else None,
        note=note.strip(),
        recorded_by=by,
    )
    settled(judge_sighting(sighting, now), ())
    if photograph is not None:
        sighting.photograph = add_photograph(
            female,
            photograph,
            by=by,
            taken_on=timezone.localtime(seen_at).date(),
            caption=kind.label,
            is_drawing=is_drawing,
            as_portrait=False,
        )
    write_together([sighting])
    return sighting


@transaction.atomic
def log_sightings(rows: Sequence[Sighting], *, now: datetime.datetime) -> list[Judged[Sighting]]:
    """Write down all that can have been seen, without a picture."""
    judged = [judge_sighting(row, now) for row in rows]
    write_together(written_of(judged))
    return judged


def judge_sighting(row: Sighting, now: datetime.datetime) -> Judged[Sighting]:
    """Whether it can have been seen; nothing is read for it."""

    def judge(row: Sighting) -> Iterator[Doubt]:
        check_sighting(row.female, row.kind, row.seen_at, now=now, male=row.male, note=row.note)
        clean_of_its_own(row)
        yield from ()

    return judging(row, judge)


def check_sighting(
    female: Animal,
    kind: SignKind,
    seen_at: datetime.datetime,
    *,
    now: datetime.datetime,
    male: Animal | None,
    note: str,
) -> datetime.date:
    """The day it was seen. Raises ValidationError, by field, for what cannot have been."""
    if female.sex != Animal.Sex.FEMALE:
        check_not_of_females(female, kind, male)
    elif male is not None:
        check_two(female, male)
    if seen_at > now + datetime.timedelta(minutes=5):
        at = moment_in_figures(timezone.localtime(seen_at))
        raise ValidationError(
            {"seen_at": tell("{moment} is still to come; choose an earlier time.", moment=at)}
        )
    seen_on = timezone.localtime(seen_at).date()
    check_was_here(female, seen_on, "seen_at")
    if kind.key == "other" and not note.strip():
        raise ValidationError({"note": tell("Say in a few words what you saw.")})
    return seen_on


def check_not_of_females(animal: Animal, kind: SignKind, male: Animal | None) -> None:
    """Raise ValidationError when what is seen of a male or a pup is a sign between two."""
    if kind.is_of_females:
        raise ValidationError(
            {
                "kind": tell(
                    "“{sign}” is written down of the female: choose her, and name {animal} "
                    "as the male if it was he.",
                    sign=kind.said,
                    animal=animal.name,
                )
            }
        )
    if male is not None:
        raise ValidationError(
            {"male": tell("A male is named only beside what was seen of a female.")}
        )


@transaction.atomic
def record_scan(
    *,
    female: Animal,
    on: datetime.date,
    positive: bool,
    today: datetime.date,
    by: Person | None,
    number_seen: int | None = None,
    done_by: str = "",
    note: str = "",
) -> Scan:
    """Write down what an ultrasound scan showed."""
    check_day_of(female, on, today)
    check_scan(positive, number_seen)
    scan = Scan(
        female=female,
        on=on,
        positive=positive,
        number_seen=number_seen,
        done_by=done_by.strip(),
        note=note.strip(),
        recorded_by=by,
    )
    scan.full_clean()
    scan.save()
    return scan


def check_day_of(female: Animal, on: datetime.date, today: datetime.date) -> None:
    """Raise ValidationError unless she is a female, and was here on this day that has come."""
    if female.sex != Animal.Sex.FEMALE:
        raise ValidationError(tell("{female} is not recorded as a female.", female=female.name))
    if on > today:
        raise ValidationError(
            {"on": tell("{day} is still to come; today or before.", day=long_day(on))}
        )
    check_was_here(female, on, "on")


def check_scan(positive: bool, number_seen: int | None) -> None:
    """Raise ValidationError when pups were counted in a scan that showed none."""
    if number_seen and not positive:
        raise ValidationError(
            {
                "number_seen": tell_many(
                    "{number} pup was seen, so the scan is not empty.",
                    "{number} pups were seen, so the scan is not empty.",
                    number_seen,
                )
            }
        )


@transaction.atomic
def record_outcome(
    *,
    female: Animal,
    on: datetime.date,
    kind: str,
    today: datetime.date,
    by: Person | None,
    note: str = "",
) -> Outcome:
    """Close a pregnancy, or the hope of one; a birth comes in through litters.services."""
    check_day_of(female, on, today)
    outcome = Outcome(female=female, on=on, kind=kind, note=note.strip(), recorded_by=by)
    outcome.full_clean()
    outcome.save()
    return outcome


@transaction.atomic
def withdraw_outcome(
    outcome: Outcome, *, by: Person | None, now: datetime.datetime, reason: str
) -> Outcome:
    """Take back how a season ended; it is open again. A birth goes with its litter."""
    if hasattr(outcome, "litter"):
        raise ValidationError(
            tell("This birth belongs to {litter}; it cannot go alone.", litter=outcome.litter)
        )
    return withdraw(outcome, by=by, now=now, reason=reason)
