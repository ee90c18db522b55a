"""The language in which sentences are said: whoever runs the words hands over who translates them.

Every sentence is written once, whole and in English, and is found by that in the catalogs of
other languages (`breeding/<room>/locale/<language>.po`); without a translator it is said so.
"""

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Translator:
    """How a language says a sentence, one of several, and a word that means two things."""

    one: Callable[[str], str]
    several: Callable[[str, str, int], str]
    meant: Callable[[str, str], str]


AS_WRITTEN = Translator(
    one=lambda sentence: sentence,
    several=lambda one, many, number: one if number == 1 else many,
    meant=lambda _context, sentence: sentence,
)
_translator = AS_WRITTEN


def speak_through(translator: Translator) -> None:
    """From now on every sentence goes through `translator`, which knows whose language it is."""
    global _translator
    _translator = translator


def message(sentence: str) -> str:
    """A sentence that stands in a table of constants and is said later, by `tell`."""
    return sentence


def message_many(one: str, many: str) -> tuple[str, str]:
    """A sentence for one and for several that is said later, by `tell_many`."""
    return one, many


def message_as(_meaning: str, sentence: str) -> str:
    """A word of two meanings that is said later, by `tell_as` under the same meaning."""
    return sentence


def tell(sentence: str, /, **values: object) -> str:
    """A sentence in the language of whoever reads it, its {names} filled in.

    >>> tell("{animal} is in {tank}.", animal="Mira", tank="Reef")
    'Mira is in Reef.'
    """
    return _filled(_translator.one(sentence), sentence, values)


def tell_many(one: str, many: str, number: int, /, **values: object) -> str:
    """A sentence with the plural that goes with so many; {number} is filled in by itself.

    >>> tell_many("{number} pup", "{number} pups", 1), tell_many("{number} pup", "{number} pups", 0)
    ('1 pup', '0 pups')
    """
    values.setdefault("number", number)
    written = one if number == 1 else many
    return _filled(_translator.several(one, many, number), written, values)


def tell_as(meaning: str, sentence: str, /, **values: object) -> str:
    """A word that English uses for two things; `meaning` tells the translator which.

    >>> tell_as("of a tank", "Side")
    'Side'
    """
    return _filled(_translator.meant(meaning, sentence), sentence, values)


def _filled(translated: str, written: str, values: dict[str, object]) -> str:
    if not values:
        return translated
    try:
        return translated.format(**values)
    except (KeyError, IndexError, ValueError):  # a slip in a catalog must not take the page away
        return written.format(**values)
