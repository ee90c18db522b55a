"""Acts on treatments: begun, ended, put right; what is asked before one is kept."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.away.here import check_was_here
from breeding.animals.models import Animal
from breeding.health.holds import treated_in_water
from breeding.health.illness.days import check_after, check_past
from breeding.health.illness.medicines import doubts_of_remedy, may_harm, words_of_treated
from breeding.health.models import Treatment
from breeding.housing.models import Tank
from breeding.housing.stays.checks import check_in_use
from breeding.program.acts.together import write_together
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.doubts import Doubt, ask
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging_in_turn,
    read_of,
    settled,
    written_of,
)
from breeding.program.services import bring_back
from breeding.words.days import long_day
from breeding.words.language import tell

Date = datetime.date
LONG_AGO_DAYS = 90  # after so long no hold is asked for; an assumption


@dataclass(frozen=True)
class Prescribed:
    """What is given, as it was prescribed, and its days."""

    remedy: str
    since: Date
    until: Date | None = None
    hold_until: Date | None = None
    dose: str = ""
    prescribed_by: str = ""
    against: str = ""
    note: str = ""


@transaction.atomic
def treat(
    who: Animal | Tank,
    given: Prescribed,
    *,
    today: Date,
    by: Person | None,
    sure: Collection[str] = frozenset(),
    reason: str = "",
) -> Treatment:
    """Write down a remedy for one animal, or for the water of a tank.

    Raises ValidationError by field, and DoubtError, which `sure` and a reason answer, for a remedy
    that is known to kill animals of this kind, for an end without a hold, and for one on record.
    """
    treatment = prescribed(who, given, by=by)
    [judged] = judge_treatments([treatment], today)
    settled(judged, sure, reason)
    _keep_reason(treatment, judged.doubts, reason)
    write_together([treatment])
    return treatment


def prescribed(who: Animal | Tank, given: Prescribed, *, by: Person | None) -> Treatment:
    """A treatment as it was typed, not judged yet."""
    treatment = Treatment(recorded_by=by)
    if isinstance(who, Tank):
        treatment.tank = who
    else:
        treatment.animal = who
    _fill(treatment, given)
    return treatment


@transaction.atomic
def treat_all(
    rows: Sequence[Treatment], *, today: Date, reason: str = ""
) -> list[Judged[Treatment]]:
    """Write down all that may be; what is asked of each is for the caller, and why for all."""
    judged = judge_treatments(rows, today)
    for one in judged:
        _keep_reason(one.record, one.doubts, reason)
    write_together(written_of(judged))
    return judged


def judge_treatments(rows: Sequence[Treatment], today: Date) -> list[Judged[Treatment]]:
    """Each beside what is on record of whom it is for, and the rows before it."""
    known: dict[tuple[int | None, int | None, str], list[Treatment]] = defaultdict(list)
    on_record = Treatment.objects.order_by("pk")
    for of in ("animal", "tank"):
        for one in read_of(on_record, of, (getattr(row, f"{of}_id") for row in rows)):
            known[_of_what(one)].append(one)

    def judge(row: Treatment) -> Iterator[Doubt]:
        if row.tank is not None:
            check_in_use(row.tank)
        clean_of_its_own(row)
        _check(row, today)
        yield from doubts_of(row, today)
        yield from _given_already(row, known[_of_what(row)])

    return judging_in_turn(rows, judge, lambda row: known[_of_what(row)].append(row))


def _of_what(row: Treatment) -> tuple[int | None, int | None, str]:
    return row.animal_id, row.tank_id, row.remedy.casefold()


@transaction.atomic
def end_treatment(
    treatment: Treatment,
    *,
    until: Date,
    today: Date,
    hold_until: Date | None = None,
    sure: Collection[str] = frozenset(),
    reason: str = "",
) -> Treatment:
    """This is its last day. Without a day until which those treated are held, it is asked once."""
    treatment = _locked(treatment)
    if treatment.is_withdrawn:
        raise ValidationError(tell("This treatment is withdrawn; bring it back first."))
    check_past("until", until, today)
    treatment.until, treatment.hold_until = until, hold_until
    _check(treatment, today)
    _keep(treatment, list(_doubts_of_hold(treatment, today)), sure, reason)
    return treatment


@transaction.atomic
def change_treatment(treatment: Treatment, given: Prescribed, *, today: Date) -> Treatment:
    """Another remedy, dose, prescriber, day or hold; what it is of stays."""
    _write(treatment, given, today)
    with constraints.named(treatment):
        treatment.save()
    return treatment


@transaction.atomic
def bring_back_treatment(treatment: Treatment, *, today: Date) -> Treatment:
    """It counts again, unless it cannot have been by what is on record now."""
    _check(treatment, today)
    return bring_back(treatment)


def doubts_of(treatment: Treatment, today: Date) -> list[Doubt]:
    """What is asked of a treatment as it stands."""
    harm: Iterable[Doubt] = ()
    if may_harm(treatment.remedy):
        harm = doubts_of_remedy(treatment.remedy, words_of_treated(treated_animals(treatment)))
    return [*harm, *_doubts_of_hold(treatment, today)]


def treated_animals(treatment: Treatment, on: Date | None = None) -> Sequence[Animal]:
    """The animal, or whoever was in the water while the remedy was in it: two queries."""
    if treatment.animal is not None:
        return [treatment.animal]
    last = on or max(treatment.since, treatment.until or treatment.since)
    keys = {key for key, _ in treated_in_water([treatment], None, last)}
    return list(Animal.objects.filter(pk__in=keys).order_by("call_name", "code"))


def _locked(treatment: Treatment) -> Treatment:
    rows = Treatment.every.select_for_update(of=("self",)).select_related("animal", "tank")
    return rows.get(pk=treatment.pk)


def _fill(treatment: Treatment, given: Prescribed) -> None:
    for name in ("since", "until", "hold_until"):
        setattr(treatment, name, getattr(given, name))
    for name in ("remedy", "dose", "prescribed_by", "against", "note"):
        setattr(treatment, name, getattr(given, name).strip())


def _write(treatment: Treatment, given: Prescribed, today: Date) -> None:
    _fill(treatment, given)
    treatment.full_clean(validate_constraints=False)
    _check(treatment, today)


def _check(treatment: Treatment, today: Date) -> None:
    check_past("since", treatment.since, today)
    if treatment.animal is not None:
        check_was_here(treatment.animal, treatment.since, "since")
    check_after("until", treatment.until, treatment.since)
    after = treatment.until + datetime.timedelta(days=1) if treatment.until else None
    check_after("hold_until", treatment.hold_until, treatment.since, least=after)


def _keep(treatment: Treatment, doubts: list[Doubt], sure: Collection[str], reason: str) -> None:
    ask(doubts, sure, reason)
    _keep_reason(treatment, doubts, reason)
    with constraints.named(treatment):
        treatment.save()


def _keep_reason(treatment: Treatment, doubts: Iterable[Doubt], reason: str) -> None:
    if reason and any(one.needs_reason for one in doubts):
        treatment.reason = reason


def _doubts_of_hold(treatment: Treatment, today: Date) -> Iterator[Doubt]:
    """After any treatment, a hold: how long, nobody guesses. One of long ago is not asked about."""
    if treatment.until is None or treatment.hold_until is not None:
        return
    if (today - treatment.until).days > LONG_AGO_DAYS:
        return
    free = treatment.until + datetime.timedelta(days=1)
    yield Doubt(
        tell(
            "No day is given until which those treated with {remedy} are not sold, "
            "moved or bred: from {day} on nothing holds them. Ask the veterinarian how "
            "long.",
            remedy=treatment.remedy,
            day=long_day(free),
        ),
        "hold_until",
    )


def _given_already(treatment: Treatment, same: Sequence[Treatment]) -> Iterator[Doubt]:
    """same: what is on record of the same remedy, in the order it was written down."""
    in_turn = sorted(enumerate(same), key=lambda one: (one[1].since, one[0]), reverse=True)
    for _, other in in_turn:
        if other.goes_on(treatment.since):
            yield Doubt(
                tell(
                    "{remedy} is on record here since {day} and goes on; is this "
                    "another treatment?",
                    remedy=other.remedy,
                    day=long_day(other.since),
                ),
                "remedy",
            )
