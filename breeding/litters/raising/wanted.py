"""How many young somebody waits for; rooms above know of that."""

from collections.abc import Callable

# None: nobody keeps a list.
Wanted = Callable[[], int | None]
_wanted: dict[str, Wanted] = {}


def add_wanted(name: str, ask: Wanted) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _wanted[name] = ask


def wanted_young() -> int | None:
    """Young that are waited for; None where nobody keeps a list. A query for each room."""
    numbers = [number for ask in _wanted.values() if (number := ask()) is not None]
    return sum(numbers) if numbers else None
