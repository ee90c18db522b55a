"""How seasons ended, read once a page for everybody who asks."""

from collections.abc import Collection, Sequence

from breeding.pairings.models import Outcome
from breeding.program.frame.memory import remembered_while_reading


def every_outcome() -> Sequence[Outcome]:
    """All that count, oldest first: one query, in a request that only reads never a second."""
    rows = Outcome.objects.filter(withdrawn_at__isnull=True)
    return remembered_while_reading("every outcome", lambda: tuple(rows.order_by("on", "pk")))


def births_of_all(females: Collection[int]) -> list[Outcome]:
    """Of these females, oldest first."""
    return [one for one in every_outcome() if one.female_id in females and one.is_birth]
