"""How this program speaks of its animals; the room that knows their species tells it."""

from collections.abc import Callable

from breeding.words.kinds import ANIMALS, KindWords

Tell = Callable[[], KindWords]
_tells: list[Tell] = []


def add_kind_words(tell: Tell) -> None:
    """Called once by the room of the animals, in its AppConfig.ready."""
    _tells[:] = [tell]


def kind_words() -> KindWords:
    """Words for the animals of this program: rays where all are, animals where they differ."""
    return _tells[0]() if _tells else ANIMALS
