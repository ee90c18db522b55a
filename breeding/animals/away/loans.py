"""The days on which animals were lent, kept when it is said where they stand."""

import datetime
from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from typing import NamedTuple

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.models import Animal, Loan
from breeding.program.acts.together import write_together
from breeding.program.problems import constraints
from breeding.program.problems.several import named_in, read_of
from breeding.words.days import long_day
from breeding.words.language import tell

Date = datetime.date
ON_LOAN = Animal.State.ON_LOAN


# What else is kept of loans, of one that stands elsewhere now than it did, since that day.
Following = Callable[[Animal, str, Date | None], None]
# Of whom of these it keeps anything when they go on loan on a day.
OfWhom = Callable[[Collection[int]], Collection[tuple[int, Date]]]
_following: dict[str, tuple[Following, OfWhom]] = {}


def add_following(name: str, following: Following, of_whom: OfWhom) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _following[name] = following, of_whom


Step = tuple[Animal, str, Date | None]  # one as it stands now, and how it did


class Away(NamedTuple):
    """Days on loan, both ends counted; `until` None while it is away."""

    since: Date
    until: Date | None

    def holds(self, on: Date) -> bool:
        return self.since <= on and (self.until is None or on <= self.until)


def keep_loan(animal: Animal, was_state: str, was_on: Date | None) -> None:
    """After a change of where it stands: the loan begins, ends, or has other days.

    Without a day on record there is nothing to keep: since when it is away, nobody knows.
    """
    for follow, _ in _following.values():
        follow(animal, was_state, was_on)
    if animal.state == ON_LOAN:
        if animal.state_on is not None:
            _lend(animal, animal.state_on)
    elif was_state == ON_LOAN:
        _end(animal, was_on)
    elif was_state == animal.state and was_on is not None:
        _end_on_another_day(animal, was_on)


@transaction.atomic
def keep_loans(steps: Sequence[Step]) -> None:
    """The same of many changes one after the other; what begins anew is written together."""
    times = Counter(animal.pk for animal, *_ in steps)
    begun = [animal.pk for animal, was_state, _ in steps if _begins(animal, was_state)]
    known = {key for key in begun if times[key] > 1} | named_in(
        Loan.objects.filter(until__isnull=True), "animal", begun
    )
    days = {(one.animal_id, one.since) for one in read_of(Loan.objects.all(), "animal", begun)}
    for _, of_whom in _following.values() if begun else ():
        days |= set(of_whom(begun))
    new: list[Loan] = []
    for animal, was_state, was_on in steps:
        since = animal.state_on
        is_known = animal.pk in known or since is None or (animal.pk, since) in days
        if since is not None and _begins(animal, was_state) and not is_known:
            new.append(Loan(animal=animal, since=since))
            continue
        _write_new(new)
        new = []
        keep_loan(animal, was_state, was_on)
    _write_new(new)


def _begins(animal: Animal, was_state: str) -> bool:
    return animal.state == ON_LOAN and was_state != ON_LOAN


def _write_new(loans: Sequence[Loan]) -> None:
    if loans:
        with constraints.named():
            write_together(loans)


@transaction.atomic
def keep_days_away(away: Iterable[tuple[Animal, Date, Date]]) -> None:
    """Days on loan that are over, written down late, no two of one animal and first day.

    Those of the same first day as some on record are the same.
    """
    every = list(away)
    loans = read_of(Loan.objects.order_by("since", "pk"), "animal", (one.pk for one, *_ in every))
    known = {(one.animal_id, one.since): one for one in loans}
    new = []
    for animal, since, until in every:
        loan = known.get((animal.pk, since))
        if loan is None:
            new.append(Loan(animal=animal, since=since, until=until))
        else:
            loan.until = until
            _save(loan)
    _write_new(new)


def _lend(animal: Animal, since: Date) -> None:
    """A loan of the same first day goes on: what was said of its end was wrong."""
    loans = Loan.objects.filter(animal=animal)
    loan = loans.filter(until__isnull=True).first() or loans.filter(since=since).first()
    loan = loan or Loan(animal=animal)
    loan.since, loan.until = since, None
    _save(loan)


def _end(animal: Animal, since: Date | None) -> None:
    loan = Loan.objects.filter(animal=animal, until__isnull=True).first()
    if loan is None and since is not None:
        loan = Loan(animal=animal, since=since)
    if loan is not None:
        loan.until = max(animal.state_on or loan.since, loan.since)
        _save(loan)


def _end_on_another_day(animal: Animal, was_on: Date) -> None:
    loan = Loan.objects.filter(animal=animal, until=was_on).first()
    if loan is not None and animal.state_on is not None and animal.state_on != was_on:
        loan.until = max(animal.state_on, loan.since)
        _save(loan)


def _save(loan: Loan) -> None:
    with constraints.named(loan):
        loan.save()


@transaction.atomic
def change_loan(loan: Loan, *, since: Date, until: Date | None, today: Date) -> Loan:
    """Other days of a loan that is over. Raises ValidationError by field."""
    if loan.until is None:
        raise ValidationError(
            tell(
                "{animal} is on loan; say where it stands now, and the loan follows.",
                animal=loan.animal.name,
            )
        )
    if until is None or until > today:
        raise ValidationError({"until": tell("It is back; until which day was it away?")})
    if until < since:
        raise ValidationError(
            {
                "until": tell(
                    "{until} is before {since}.", until=long_day(until), since=long_day(since)
                )
            }
        )
    loan.since, loan.until = since, until
    _save(loan)
    return loan


def loans_of(animals: Iterable[Animal]) -> Mapping[int, list[Away]]:
    """The days on loan of each of these, by its key; one query.

    One that is on loan without a record of it is away since the day of its state.
    """
    found: dict[int, list[Away]] = defaultdict(list)
    known = {one.pk: one for one in animals}
    for loan in Loan.objects.filter(animal__in=list(known)).order_by("since", "pk"):
        found[loan.animal_id].append(Away(loan.since, loan.until))
    for pk, one in known.items():
        is_kept = any(away.until is None for away in found[pk])
        if one.state == ON_LOAN and one.state_on is not None and not is_kept:
            found[pk].append(Away(one.state_on, None))
    return dict(found)
