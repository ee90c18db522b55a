"""What rooms above say of a reservation that is let go: which sheets went to its buyer already."""

from collections.abc import Callable, Iterator

from breeding.buyers.models import Reservation

Words = Callable[[Reservation], str]
_above: dict[str, Words] = {}


def add_words_of_letting_go(name: str, words: Words) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _above[name] = words


def words_of_letting_go(reservation: Reservation) -> Iterator[str]:
    """Of every room that has something to say."""
    return (said for words in _above.values() if (said := words(reservation)))
