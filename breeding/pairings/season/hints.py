"""What others say of a female's season: hints with their source, that wait to be confirmed.

Nothing is reckoned from a hint. It asks until a scan or the end of a season tells.
"""

import datetime
from collections.abc import Callable, Iterable

from breeding.animals.models import Animal
from breeding.pairings.season.disagreements import Disagreement

# Of this female, or of all, what stands to be confirmed on a day.
Hints = Callable[[datetime.date, Animal | None], Iterable[Disagreement]]

_hints: dict[str, Hints] = {}


def add_hints(name: str, hints: Hints) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _hints[name] = hints


def hints_on(asof: datetime.date, female: Animal | None = None) -> list[Disagreement]:
    """What every room says, of one female or of all: a query for each room."""
    return [one for hints in _hints.values() for one in hints(asof, female)]
