"""How this program speaks of its animals; the room that knows their species tells it."""

from collections.abc import Callable
from dataclasses import replace

from breeding.words.kinds import ANIMALS, KindWords
from breeding.words.language import message, tell

Tell = Callable[[], KindWords]
_tells: list[Tell] = []

# Words that species come with; others, which a keeper chose, stay as they were written.
KNOWN = (
    *(message("ray"), message("rays"), message("fish"), message("animal"), message("animals")),
    *(message("disc width"), message("standard length"), message("total length"), message("size")),
)


def add_kind_words(tell: Tell) -> None:
    """Called once by the room of the animals, in its AppConfig.ready."""
    _tells[:] = [tell]


def kind_words() -> KindWords:
    """Words for the animals of this program: rays where all are, animals where they differ."""
    return in_own_language(kept_words())


def kept_words() -> KindWords:
    """The same as the species have them, to compare with figures; never said."""
    return _tells[0]() if _tells else ANIMALS


def in_own_language(words: KindWords) -> KindWords:
    """The same words as whoever reads them says them."""
    return replace(words, one=tell(words.one), many=tell(words.many), size=tell(words.size))
