"""Acts on quarantine: begun by word, ended for one or for several, put right."""

import datetime
from collections.abc import Collection, Sequence

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.away.here import check_was_here
from breeding.animals.models import Animal
from breeding.health.illness.days import check_past
from breeding.health.illness.standing import ailing
from breeding.health.models import Quarantine
from breeding.health.quarantine import Quarantined, quarantined
from breeding.program import services
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.doubts import Doubt, ask
from breeding.words.days import long_day
from breeding.words.numbers import counted

Date = datetime.date
CUT_SHORT = Quarantine.Result.CUT_SHORT
MOST_DAYS = 366


@transaction.atomic
def keep_apart(
    animals: Sequence[Animal],
    *,
    since: Date,
    today: Date,
    by: Person | None,
    least_days: int | None = None,
    note: str = "",
) -> list[Quarantine]:
    """They are in quarantine since a day, wherever they are. Raises ValidationError by field.

    In a tank for quarantine an animal is so by its stay, and nothing is to be written.
    """
    check_past("since", since, today)
    already = quarantined([one.pk for one in animals], today)
    for one in animals:
        if found := already.get(one.pk):
            raise ValidationError(
                {
                    "animals": f"{one.name} is in quarantine since {long_day(found.since)} "
                    "already; end that first."
                }
            )
        check_was_here(one, since, "since")
    rows = [
        Quarantine(
            animal=one, since=since, least_days=least_days, note=note.strip(), recorded_by=by
        )
        for one in animals
    ]
    for row in rows:
        _save(row)
    return rows


@transaction.atomic
def let_out(
    animals: Sequence[Animal],
    *,
    on: Date,
    result: str,
    today: Date,
    by: Person | None,
    note: str = "",
    sure: Collection[str] = frozenset(),
) -> list[Quarantine]:
    """The quarantine of these ends on a day, and how. Raises ValidationError by field.

    Before its days are over only as that, with a reason, and asked about; so are those who are
    not seen to be well.
    """
    check_past("on", on, today)
    found = quarantined([one.pk for one in animals], on)
    for one in animals:
        if one.pk not in found:
            raise ValidationError(
                {"on": f"{one.name} is not in quarantine on {long_day(on)}, or not any more."}
            )
    _check_result(list(found.values()), result, note, on)
    ask(_doubts_of_end(list(found.values()), result, on), sure)
    rows = []
    for held in found.values():
        row = held.row or Quarantine(animal=held.animal, recorded_by=by)
        row.ended_on, row.result = on, result
        row.note = note.strip() or row.note
        _save(row)
        rows.append(row)
    return rows


def _check_result(found: list[Quarantined], result: str, note: str, on: Date) -> None:
    early = [one for one in found if not one.is_done_on(on)]
    if early and result != CUT_SHORT:
        one = early[0]
        raise ValidationError(
            {
                "result": f"The days of {one.animal.name} are not over before "
                f"{long_day(one.until)} ({one.days_words}); choose “{CUT_SHORT.label}” and say why."
            }
        )
    if result == CUT_SHORT and not early:
        raise ValidationError(
            {"result": "Its days are over; choose what was found, nothing or an illness."}
        )
    if result == CUT_SHORT and not note.strip():
        raise ValidationError({"note": "Say why it ends before its time."})


def _doubts_of_end(found: list[Quarantined], result: str, on: Date) -> list[Doubt]:
    doubts = [
        Doubt(
            f"{one.animal.name} would have been in quarantine until {long_day(one.until)}, "
            f"{counted((one.until - on).days, 'day')} more. What it carries may not show yet.",
            "result",
        )
        for one in found
        if not one.is_done_on(on)
    ]
    ill = ailing([one.animal.pk for one in found], on)
    return doubts + [
        Doubt(f"{one.animal.name} is not seen to be well: {seen.words}.", "result")
        for one in found
        for seen in ill.get(one.animal.pk, ())
    ]


@transaction.atomic
def change_quarantine(
    row: Quarantine,
    *,
    since: Date | None,
    least_days: int | None,
    ended_on: Date | None,
    result: str,
    note: str,
    today: Date,
) -> Quarantine:
    """Put the days, the result or the note right. Raises ValidationError by field."""
    is_by_word = row.since is not None
    if is_by_word and since is None:
        raise ValidationError({"since": "Since which day? It was said by word."})
    if not is_by_word and ended_on is None:
        raise ValidationError(
            {"ended_on": "Withdraw it if it did not end; its stay says since when it goes on."}
        )
    if ended_on is not None and not result:
        raise ValidationError({"result": "How did it end?"})
    if result and ended_on is None:
        raise ValidationError({"ended_on": "On which day did it end so?"})
    if result == CUT_SHORT and not note.strip():
        raise ValidationError({"note": "Say why it ended before its time."})
    row.since, row.ended_on = since if is_by_word else None, ended_on
    row.least_days, row.result, row.note = least_days, result, note.strip()
    _check_days(row, today)
    _save(row)
    return row


@transaction.atomic
def bring_back_quarantine(row: Quarantine, *, today: Date) -> Quarantine:
    """It counts again, unless it cannot have been by what is on record now."""
    _check_days(row, today)
    return services.bring_back(row)


def _check_days(row: Quarantine, today: Date) -> None:
    for name in ("since", "ended_on"):
        on = getattr(row, name)
        if on is not None:
            check_past(name, on, today)
            check_was_here(row.animal, on, name)
    if row.since is not None and row.ended_on is not None and row.ended_on < row.since:
        raise ValidationError(
            {"ended_on": f"{long_day(row.ended_on)} is before it began ({long_day(row.since)})."}
        )


def _save(row: Quarantine) -> None:
    row.full_clean(validate_constraints=False)
    with constraints.named(row):
        row.save()
