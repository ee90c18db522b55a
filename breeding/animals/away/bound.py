"""Animals that are not this program's to give away: rooms above say which, and why."""

from collections.abc import Callable, Collection, Mapping

from breeding.animals.models import Animal

# Of these animals, those that are bound, each with why: "it belongs to somebody else".
Bound = Callable[[Collection[int]], Mapping[int, str]]

_bound: dict[str, Bound] = {}


def add_bound(name: str, bound: Bound) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _bound[name] = bound


def bound(animals: Collection[int]) -> dict[int, list[str]]:
    """Why some of these cannot be given away; one query for each room that says so."""
    found: dict[int, list[str]] = {}
    for ask in _bound.values() if animals else ():
        for key, words in ask(animals).items():
            found.setdefault(key, []).append(words)
    return found


def bound_of(animal: Animal) -> list[str]:
    """The same of one animal."""
    return bound([animal.pk]).get(animal.pk, [])
