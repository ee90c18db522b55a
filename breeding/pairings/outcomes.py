"""How seasons ended, read once a page for everybody who asks."""

from collections import defaultdict
from collections.abc import Collection, Sequence

from breeding.pairings.models import Outcome
from breeding.program.frame.memory import known, only_reads, remembered_while_reading
from breeding.program.unchanged.along import take_along
from breeding.program.unchanged.marks import rests_on

_NAME, _OF_FEW = "every outcome", "outcomes of few"
take_along(_NAME, None)
take_along(_OF_FEW, None)
# Females: of no more they are asked for by themselves.
FEW, FEW_OF_AN_ACT = 20, 400


def every_outcome() -> Sequence[Outcome]:
    """All that count, oldest first: one query, in a request that only reads never a second."""
    rows = Outcome.objects.filter(withdrawn_at__isnull=True)
    rests_on(Outcome)
    return remembered_while_reading(_NAME, lambda: tuple(rows.order_by("on", "pk")))


def among(females: Collection[int]) -> Sequence[Outcome]:
    """All that these females have, oldest first, among others; of a few alone, unless the page has
    read them all."""
    reads = only_reads()
    if len(females) > (FEW if reads else FEW_OF_AN_ACT) or (reads and known(_NAME) is not None):
        return every_outcome()
    rests_on(Outcome)
    asked = frozenset(females)
    held: dict[frozenset[int], Sequence[Outcome]] = remembered_while_reading(_OF_FEW, dict)
    if asked not in held:
        own = Outcome.objects.filter(female__in=females, withdrawn_at__isnull=True)
        held[asked] = tuple(own.order_by("on", "pk"))
    return held[asked]


def births_of_all(females: Collection[int]) -> list[Outcome]:
    """Of these females, oldest first."""
    return [one for one in among(females) if one.female_id in females and one.is_birth]


def outcomes_of(females: Collection[int] | None = None) -> dict[int, list[Outcome]]:
    """By female, oldest first: of all, or at least of these."""
    found: dict[int, list[Outcome]] = defaultdict(list)
    for outcome in every_outcome() if females is None else among(females):
        found[outcome.female_id].append(outcome)
    return dict(found)
