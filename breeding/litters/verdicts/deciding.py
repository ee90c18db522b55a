"""What was decided of young ones: held back, let go, culled, or open again; and why."""

import datetime
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import TypeVar

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Model, OuterRef, QuerySet, Subquery
from django.utils.translation import gettext_lazy as _

from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.litters.models import Litter, Verdict
from breeding.program.models import Person
from breeding.program.problems.doubts import Doubt, ask
from breeding.program.problems.several import read_of
from breeding.program.services import bring_back
from breeding.words.days import long_day
from breeding.words.language import tell

Date = datetime.date
Decision = Verdict.Decision

WITHHELD = (Decision.HOLD_BACK, Decision.CULL)  # nobody is offered one of these
CULL_CAUTION = _(
    "Let a veterinarian look at it first, and do it or say how: an animal "
    "is killed without pain, by somebody who has learned to. The law of "
    "the place says who may, and whether it has to be written down. "
    "Nothing of it goes into the wild."
)

# Rooms above say for whom young ones are kept: words by the animal, read only by who may.
SpokenFor = Callable[[Collection[int]], Mapping[int, str]]
_spoken: dict[str, SpokenFor] = {}


def add_spoken_for(name: str, source: SpokenFor) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _spoken[name] = source


def spoken_for(animals: Collection[int]) -> dict[int, str]:
    """For whom each of these is kept, in words; those kept for nobody are left out."""
    found: dict[int, str] = {}
    for source in _spoken.values() if animals else ():
        found |= source(animals)
    return found


@dataclass(frozen=True)
class Decided:
    """The verdict that stands: the latest that counts. decision "open": not decided."""

    decision: str = Decision.OPEN
    on: Date | None = None
    reason: str = ""
    pk: int | None = None

    @property
    def is_open(self) -> bool:
        return self.decision == Decision.OPEN

    @property
    def is_withheld(self) -> bool:
        return self.decision in WITHHELD

    @property
    def is_held_back(self) -> bool:
        return self.decision == Decision.HOLD_BACK

    @property
    def words(self) -> str:
        """ "held back for breeding on 3 March 2026: nobody else carries her line"."""
        said = str(Decision(self.decision).label)
        if self.on and not self.is_open:
            named = {"decision": said, "day": long_day(self.on)}
            if self.decision == Decision.LET_GO:
                said = tell("{decision}, decided on {day}", **named)
            else:
                said = tell("{decision} on {day}", **named)
        return f"{said}: {self.reason}" if self.reason else said


OPEN = Decided()


Row = TypeVar("Row", bound=Model)


def with_verdicts(rows: "QuerySet[Row]", animal: str = "animal") -> "QuerySet[Row]":
    """These rows with the verdict that stands on their animal; `decided_of` reads it."""
    latest = Verdict.objects.filter(animal=OuterRef(animal)).order_by("-on", "-pk")[:1]
    parts = {"pk": "pk", "decision": "decision", "on": "on", "reason": "reason"}
    found: QuerySet[Row] = rows.annotate(
        **{f"verdict_{name}": Subquery(latest.values(part)) for name, part in parts.items()}
    )
    return found


def decided_of(row: object) -> Decided:
    """The verdict of a row out of `with_verdicts`: no query."""
    if getattr(row, "verdict_pk", None) is None:
        return OPEN
    return Decided(
        *(getattr(row, f"verdict_{name}") for name in ("decision", "on", "reason", "pk"))
    )


def decided(animal: Animal) -> Decided:
    """What stands of one animal: one query."""
    latest = Verdict.objects.filter(animal=animal).first()
    if latest is None:
        return OPEN
    return Decided(latest.decision, latest.on, latest.reason, latest.pk)


def decided_of_each(keys: Collection[int]) -> dict[int, Decided]:
    """What stands of each of these: one query for many."""
    rows = read_of(with_verdicts(Animal.every.all(), "pk"), "pk", keys)
    return {one.pk: decided_of(one) for one in rows}


def withheld_words(one: Decided) -> tuple[str, ...]:
    """What it lacks to leave, as pages say it after "it lacks"."""
    return (tell("leave to go ({decided})", decided=one.words),) if one.is_withheld else ()


# ------------------------------------------------------------------------------------------- acts


@transaction.atomic
def record_verdict(
    animal: Animal,
    *,
    decision: str,
    on: Date,
    today: Date,
    by: Person | None,
    reason: str = "",
    sure: Collection[str] = frozenset(),
) -> Verdict:
    """Write down what was decided; the latest by its day counts.

    Raises ValidationError by field for a day to come, one before its birth, an animal that is gone
    and a cull without a reason; DoubtError, which `sure` answers, for a cull and for holding back
    one that is kept for somebody.
    """
    _check(animal, decision, on, today, reason)
    ask(_doubts(animal, decision), sure)
    verdict = Verdict(
        animal=animal, decision=decision, on=on, reason=reason.strip(), recorded_by=by
    )
    verdict.full_clean(validate_constraints=False)
    verdict.save()
    return verdict


@transaction.atomic
def change_verdict(
    verdict: Verdict, *, decision: str, on: Date, today: Date, reason: str
) -> Verdict:
    """It was decided otherwise, on another day or for another reason. Raises as recording does."""
    _check(verdict.animal, decision, on, today, reason)
    verdict.decision, verdict.on, verdict.reason = decision, on, reason.strip()
    verdict.full_clean(validate_constraints=False)
    verdict.save()
    return verdict


@transaction.atomic
def bring_verdict_back(verdict: Verdict) -> Verdict:
    """It counts again; the latest by its day is the one that stands."""
    return bring_back(verdict)


@transaction.atomic
def let_the_others_go(litter: Litter, *, on: Date, by: Person | None) -> list[Verdict]:
    """Every pup of a litter that is here and not decided yet may go. Raises ValidationError."""
    litter.refresh_from_db(fields=["withdrawn_at"])
    if litter.is_withdrawn:
        raise ValidationError(tell("{litter} has been withdrawn.", litter=litter))
    if on < litter.born_on:
        raise ValidationError(
            tell("{litter} was born on {day}.", litter=litter, day=long_day(litter.born_on))
        )
    young = Animal.objects.select_for_update(of=("self",)).filter(
        pup_rows__litter=litter, pup_rows__withdrawn_at__isnull=True
    )
    keys = [one.pk for one in young]
    told = with_verdicts(Animal.objects.filter(pk__in=keys).order_by("code"), "pk")
    undecided = [one for one in told if decided_of(one).is_open and one.is_here]
    if not undecided:
        raise ValidationError(
            tell(
                "For every pup of {litter} that is here, something has been decided.", litter=litter
            )
        )
    return [
        Verdict.objects.create(animal=one, decision=Decision.LET_GO, on=on, recorded_by=by)
        for one in undecided
    ]


def _check(animal: Animal, decision: str, on: Date, today: Date, reason: str) -> None:
    if decision not in Decision.values:
        raise ValidationError(
            {
                "decision": tell(
                    "“{decision}” is not one of the decisions; choose one below.", decision=decision
                )
            }
        )
    if on > today:
        raise ValidationError(
            {"on": tell("{day} is still to come; choose today or earlier.", day=long_day(on))}
        )
    if animal.born_on and on < animal.born_on:
        raise ValidationError(
            {
                "on": tell(
                    "{animal} was born on {day}; choose a later day.",
                    animal=animal.name,
                    day=long_day(animal.born_on),
                )
            }
        )
    if animal.state in GONE and (animal.state_on is None or on > animal.state_on):
        named = {"animal": animal.name, "state": animal.get_state_display()}
        if animal.state_on:
            raise ValidationError(
                tell(
                    "{animal} {state} on {day}; there is nothing to decide.",
                    **named,
                    day=long_day(animal.state_on),
                )
            )
        raise ValidationError(tell("{animal} {state}; there is nothing to decide.", **named))
    if decision == Decision.CULL and not reason.strip():
        raise ValidationError({"reason": tell("Say why it is culled.")})


def _doubts(animal: Animal, decision: str) -> Iterator[Doubt]:
    if decision == Decision.CULL:
        yield Doubt(
            tell(
                "{animal} is to be killed. {caution}",
                animal=animal.name,
                caution=CULL_CAUTION,
            ),
            field="decision",
        )
    if decision in WITHHELD and (kept := spoken_for([animal.pk]).get(animal.pk)):
        yield Doubt(
            tell(
                "{animal} is reserved for a buyer ({kept}). Tell them, and end that reservation.",
                animal=animal.name,
                kept=kept,
            ),
            field="decision",
        )
