"""Acts on quarantine: begun by word, ended for one or for several, put right."""

import datetime
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import cached_property

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.away.here import check_was_here
from breeding.animals.models import Animal
from breeding.health.apart.in_turn import QuarantinesInTurn
from breeding.health.illness.days import check_past
from breeding.health.illness.standing import ailing
from breeding.health.models import Quarantine
from breeding.health.quarantine import Quarantined, quarantined
from breeding.housing.stays.everywhere import Everywhere
from breeding.program import services
from breeding.program.acts.together import write_together
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.doubts import Doubt, ask
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging_in_turn,
    named_in,
    read_of,
    settled,
    written_of,
)
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many

Date = datetime.date
CUT_SHORT = Quarantine.Result.CUT_SHORT
MOST_DAYS = 366
ONE_OPEN = "quarantine_one_open"


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
    rows = [
        Quarantine(
            animal=one, since=since, least_days=least_days, note=note.strip(), recorded_by=by
        )
        for one in animals
    ]
    check_past("since", since, today)
    for judged in judge_quarantines(rows, today):
        settled(judged, ())
    with constraints.named():
        write_together(rows)
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
                {
                    "on": tell(
                        "{animal} is not in quarantine on {day}, or not any more.",
                        animal=one.name,
                        day=long_day(on),
                    )
                }
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
                "result": tell(
                    "The days of {animal} are not over before {day} ({days}); choose “{result}” "
                    "and say why.",
                    animal=one.animal.name,
                    day=long_day(one.until),
                    days=one.days_words,
                    result=CUT_SHORT.label,
                )
            }
        )
    if result == CUT_SHORT and not early:
        raise ValidationError(
            {"result": tell("Its days are over; choose what was found, nothing or an illness.")}
        )
    if result == CUT_SHORT and not note.strip():
        raise ValidationError({"note": tell("Say why it ends before its time.")})


def _doubts_of_end(found: list[Quarantined], result: str, on: Date) -> list[Doubt]:
    doubts = [
        Doubt(
            tell_many(
                "{animal} would have been in quarantine until {day}, {number} more day. What it "
                "carries may not show yet.",
                "{animal} would have been in quarantine until {day}, {number} more days. What it "
                "carries may not show yet.",
                (one.until - on).days,
                animal=one.animal.name,
                day=long_day(one.until),
            ),
            "result",
        )
        for one in found
        if not one.is_done_on(on)
    ]
    ill = ailing([one.animal.pk for one in found], on)
    return doubts + [
        Doubt(
            tell(
                "{animal} is not seen to be well: {what}.",
                animal=one.animal.name,
                what=seen.words,
            ),
            "result",
        )
        for one in found
        for seen in ill.get(one.animal.pk, ())
    ]


@transaction.atomic
def record_quarantines(rows: Sequence[Quarantine], *, today: Date) -> list[Judged[Quarantine]]:
    """Write down all that may be: with its first and its last day each, or going on by word."""
    judged = judge_quarantines(rows, today)
    with constraints.named():
        write_together(written_of(judged))
    return judged


def judge_quarantines(rows: Sequence[Quarantine], today: Date) -> list[Judged[Quarantine]]:
    """Each beside those on record of its animal and the rows before it."""
    known: dict[int, list[Quarantine]] = defaultdict(list)
    by_word = Quarantine.objects.filter(since__isnull=False).select_related("animal")
    over = [row.animal_id for row in rows if row.ended_on is not None]
    for one in read_of(by_word.order_by("pk"), "animal", over):
        known[one.animal_id].append(one)
    already = _Already(rows, today)

    def judge(row: Quarantine) -> Iterator[Doubt]:
        row.note = row.note.strip()
        if row.ended_on is None and not row.result:
            _check_begins(row, already.of(row.animal), today)
        else:
            _refuse_overlapping(row, reversed(known[row.animal_id]))
            _check_end(row)
            _check_days(row, today)
        clean_of_its_own(row)
        if row.ended_on is None:
            already.refuse_second(row)
        yield from ()

    def count(row: Quarantine) -> None:
        known[row.animal_id].append(row)
        already.say(row)

    return judging_in_turn(rows, judge, count)


class _Already:
    """Who is in quarantine today, by what is on record and by the rows before in turn."""

    def __init__(self, rows: Sequence[Quarantine], today: Date) -> None:
        self._today = today
        begun = {row.animal_id: row.animal for row in rows if row.ended_on is None}
        self._on_record = quarantined(begun, today)
        self._open = named_in(Quarantine.objects.filter(ended_on__isnull=True), "animal", begun)
        times = Counter(row.animal_id for row in rows)
        self._again = {key: one for key, one in begun.items() if times[key] > 1}
        self._said: set[int] = set()

    @cached_property
    def _in_turn(self) -> QuarantinesInTurn:
        where = Everywhere(())
        where.read_beside(self._again)
        return QuarantinesInTurn(self._again, where)

    def of(self, animal: Animal) -> Quarantined | None:
        if animal.pk not in self._said:
            return self._on_record.get(animal.pk)
        return self._in_turn.of([animal], self._today).get(animal.pk)

    def say(self, row: Quarantine) -> None:
        """It counts for the rows after it."""
        if row.ended_on is None:
            self._open.add(row.animal_id)
        if row.animal_id in self._again:
            self._said.add(row.animal_id)
            self._in_turn.say(row)

    def refuse_second(self, row: Quarantine) -> None:
        """As the database refuses one of an animal that is gone meanwhile, and in none today."""
        if row.animal_id in self._open:
            [rule] = (one for one in Quarantine._meta.constraints if one.name == ONE_OPEN)
            words = str(rule.get_violation_error_message())
            raise ValidationError({"animal": ValidationError(words, code=ONE_OPEN)})


def _check_begins(row: Quarantine, already: Quarantined | None, today: Date) -> None:
    """By word, and going on; already: where it is in quarantine today."""
    since = row.since or today
    check_past("since", since, today)
    if already is not None:
        raise ValidationError(
            {
                "animals": tell(
                    "{animal} has been in quarantine since {day} already; end that first.",
                    animal=row.animal.name,
                    day=long_day(already.since),
                )
            }
        )
    check_was_here(row.animal, since, "since")


def _refuse_overlapping(row: Quarantine, others: Iterable[Quarantine]) -> None:
    """others: by word, those written down last first."""
    since, ended_on = row.since, row.ended_on
    for other in others:
        if since is None or ended_on is None or other.since is None:
            continue
        if other.since < ended_on and (other.ended_on is None or other.ended_on > since):
            raise ValidationError({"since": _already_words(other, since)})


def _already_words(other: Quarantine, since: Date) -> str:
    said = {"animal": other.animal.name, "since": long_day(other.since or since)}
    if other.ended_on is None:
        return tell(
            "{animal} was in quarantine from {since}, and not ended, on record already.", **said
        )
    return tell(
        "{animal} was in quarantine from {since} to {until}, on record already.",
        **said,
        until=long_day(other.ended_on),
    )


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
        raise ValidationError(
            {"since": tell("Since which day? No stay in a quarantine tank says it.")}
        )
    if not is_by_word and ended_on is None:
        raise ValidationError(
            {
                "ended_on": tell(
                    "If it did not end, withdraw this; its stay says since when it has been going "
                    "on."
                )
            }
        )
    row.since, row.ended_on = since if is_by_word else None, ended_on
    row.least_days, row.result, row.note = least_days, result, note.strip()
    _check_end(row)
    _check_days(row, today)
    _save(row)
    return row


@transaction.atomic
def bring_back_quarantine(row: Quarantine, *, today: Date) -> Quarantine:
    """It counts again, unless it cannot have been by what is on record now."""
    _check_days(row, today)
    return services.bring_back(row)


def _check_end(row: Quarantine) -> None:
    if row.ended_on is not None and not row.result:
        raise ValidationError({"result": tell("How did it end?")})
    if row.result and row.ended_on is None:
        raise ValidationError({"ended_on": tell("On which day did it end so?")})
    if row.result == CUT_SHORT and not row.note:
        raise ValidationError({"note": tell("Say why it ended before its time.")})


def _check_days(row: Quarantine, today: Date) -> None:
    for name in ("since", "ended_on"):
        on = getattr(row, name)
        if on is not None:
            check_past(name, on, today)
            check_was_here(row.animal, on, name)
    if row.since is not None and row.ended_on is not None and row.ended_on < row.since:
        raise ValidationError(
            {
                "ended_on": tell(
                    "{day} is before it began ({since}).",
                    day=long_day(row.ended_on),
                    since=long_day(row.since),
                )
            }
        )


def _save(row: Quarantine) -> None:
    row.full_clean(validate_constraints=False)
    with constraints.named(row):
        row.save()
