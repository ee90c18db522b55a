"""What is known of the key of an issued sheet, which a room above hears and keeps."""

from collections.abc import Callable

from breeding.sheets.sealing.key_said import DISOWNED, KeySaid

# Of a key and the day of the sheet: what a reader is told of it.
Say = Callable[..., KeySaid]
_said: list[Say] = []


def add_key_said(say: Say) -> None:
    """Called once by the room that hears what is said of keys, in its AppConfig.ready."""
    _said.append(say)


def disowned_words(key: str, on: str) -> tuple[str, ...]:
    """What is said to strangers of a key that its owner disowned; nothing of any other key."""
    told = [say(key, on, is_stranger=True) for say in _said]
    return tuple(words for one in told if one.state == DISOWNED for words in one.sentences)
