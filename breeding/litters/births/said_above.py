"""What rooms above say of a birth before it is changed: which sheets will differ from it."""

from collections.abc import Callable, Iterator

from breeding.litters.models import Litter

Words = Callable[[Litter], str]
_above: dict[str, Words] = {}


def add_words_before_change(name: str, words: Words) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _above[name] = words


def words_before_change(litter: Litter) -> Iterator[str]:
    """Of every room that has something to say."""
    return (said for words in _above.values() if (said := words(litter)))
