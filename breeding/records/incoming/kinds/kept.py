"""How the rows of a table are written: one by one, or all by an act of many, with one outcome."""

from collections.abc import Callable, Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from django.core.exceptions import ValidationError
from django.db import models, transaction

from breeding.program.parts import in_parts
from breeding.program.problems.doubts import Doubt, DoubtError
from breeding.program.problems.several import Judged
from breeding.words.language import tell
from breeding.words.numbers import written

if TYPE_CHECKING:
    from breeding.records.incoming.kinds.kind import Keeping

Facts = Mapping[str, Any]  # by meaning; None where the row says nothing
Record = TypeVar("Record", bound=models.Model)

MOST_ONE_BY_ONE = 2_000
_MOST_ROUNDS = 80  # a service may ask again, about what the first answer led to, or of each pup


@dataclass
class Kept:
    """What became of one row: its record, what was asked of it on the way, and what refused it."""

    record: models.Model | None = None
    doubts: list[Doubt] = field(default_factory=list)
    refusal: ValidationError | None = None
    without_reason: list[Doubt] = field(default_factory=list)  # asked for a reason, and has none


KeepAll = Callable[[Sequence[Facts], "Keeping"], Sequence[Kept]]


# ------------------------------------------------------------------------------------ one by one


@dataclass
class ByItself:
    """Writes a row of a table by an act of its own. Rows beyond MOST_ONE_BY_ONE are refused: so
    many acts in one transaction take minutes.
    """

    keep: Callable[[Facts, "Keeping"], Any]
    of_table: int  # how many rows it has
    written: int = 0

    def __call__(self, facts: Facts, keeping: "Keeping") -> Kept:
        if self.written == MOST_ONE_BY_ONE:
            return Kept(refusal=self._too_many())
        self.written += 1
        return kept_alone(self.keep, facts, keeping)

    def _too_many(self) -> ValidationError:
        return ValidationError(
            tell(
                "Of rows like these at most {most} are brought in at once, and the table has "
                "{number}: split it.",
                most=written(f"{MOST_ONE_BY_ONE:,}"),
                number=written(f"{self.of_table:,}"),
            )
        )


def kept_alone(keep: Callable[[Facts, "Keeping"], Any], facts: Facts, keeping: "Keeping") -> Kept:
    """A row by an act of its own, asked again with what was asked of it before."""
    sure, kept = frozenset(keeping.sure), Kept()
    for _ in range(_MOST_ROUNDS):
        try:
            with transaction.atomic():
                kept.record = keep(facts, replace(keeping, sure=sure))
            break
        except DoubtError as doubtful:
            new = [one for one in doubtful.doubts if one.mark not in sure]
            kept.doubts += new
            if not new:
                kept.without_reason = list(doubtful.doubts)
                break
            sure |= {one.mark for one in new}
        except ValidationError as problem:
            kept.refusal = without_frames(problem)
            break
    return kept


def asked_in_turn(asked: Iterable[Iterable[Doubt]], keeping: "Keeping") -> list[Doubt]:
    """What `kept_alone` gathers of an act that asks for these, one after the other."""
    sure, found = set(keeping.sure), []
    for at_once in asked:
        new = [one for one in at_once if not one.is_only_said and one.mark not in sure]
        sure |= {one.mark for one in new}
        found += new
    return found


def without_frames(problem: ValidationError) -> ValidationError:
    """What refused a row is kept as long as its table; not what was in hand where it was raised."""
    problem.__context__ = None
    return problem.with_traceback(None)


# ---------------------------------------------------------------------------------- all together


def in_runs(
    rows: Sequence[Facts],
    keeping: "Keeping",
    *,
    is_plain: Callable[[Facts], bool] = lambda facts: True,
    key: Callable[[Facts], Hashable],
    together: Callable[[Sequence[Facts], "Keeping"], list[Kept]],
    alone: ByItself | None = None,
    also: Callable[[Facts], Collection[Hashable]] = lambda facts: (),
) -> list[Kept]:
    """Plain rows that follow each other all together, each of the others by an act of its own.

    A run ends before a second row of the same key, so that this one is asked of what the first
    has written, and before one for which `also` names what it has named for one of the run. Without
    `alone` there are no others.
    """
    found: list[Kept] = []
    run: list[Facts] = []
    keys: set[Hashable] = set()
    for facts in rows:
        is_of_run = is_plain(facts)
        its_own = {key(facts), *also(facts)}
        if run and (not is_of_run or its_own & keys):
            found += together(run, keeping)
            run, keys = [], set()
        if is_of_run:
            run.append(facts)
            keys |= its_own
        elif alone is not None:
            found.append(alone(facts, keeping))
    return found + (together(run, keeping) if run else [])


@dataclass(frozen=True)
class Again(Generic[Record]):
    """By what a row is known that stands there already, and what is asked of it then.

    on_record: of these rows what is on record by the same, before any of them is written.
    """

    key: Callable[[Record], Hashable]
    on_record: Callable[[Sequence[Record]], set[Any]]
    sentence: Callable[[Record], str]
    field: str


def all_together(
    rows: Sequence[Facts],
    keeping: "Keeping",
    *,
    make: Callable[[Facts], Record],
    write: Callable[[Sequence[Record]], Sequence[Judged[Record]]],
    again: Again[Record] | None = None,
) -> list[Kept]:
    """Each row made a record by `make`, which may refuse it; then all written by one act.

    Equal to writing one after the other: a row is asked of what stands before it in the table, too.
    """
    kept = [Kept() for _ in rows]
    made: list[tuple[Kept, Record]] = []
    for one, facts in zip(kept, rows, strict=True):
        try:
            made.append((one, make(facts)))
        except ValidationError as problem:
            one.refusal = without_frames(problem)
    records = [record for _, record in made]
    known = again.on_record(records) if again else set()
    for (one, record), judged in zip(made, write(records), strict=True):
        key = again.key(record) if again else None
        asked = [Doubt(again.sentence(record), again.field)] if again and key in known else []
        asked += [doubt for doubt in judged.doubts if not doubt.is_only_said]
        one.doubts = [doubt for doubt in asked if doubt.mark not in keeping.sure]
        if isinstance(judged.refusal, DoubtError):
            one.without_reason = list(judged.refusal.doubts)
        else:
            one.refusal = judged.refusal
        if judged.may_be:
            one.record = record
            if again:
                known.add(key)
    return kept


def known_by(
    rows: Sequence[Record], of: str, *names: str, found: "models.QuerySet[Any]"
) -> set[tuple[Any, ...]]:
    """What stands in these columns of those `found` whose column `of` names one the rows name."""
    keys = list({getattr(row, f"{of}_id") for row in rows})
    known: set[tuple[Any, ...]] = set()
    for asked in in_parts(keys):
        part = [key for key in asked if key is not None]
        mine = found.filter(**{f"{of}__in": part})
        if None in asked:
            mine = found.filter(models.Q(**{f"{of}__in": part}) | models.Q(**{of: None}))
        known |= set(mine.order_by().values_list(of, *names))
    return known
