"""The language in which sentences are said: whoever runs the words hands over who translates them.

Every sentence is written once, whole and in English, and is found by that in the catalogs of
other languages (`breeding/<room>/locale/<language>.po`); without a translator it is said so.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import wraps
from typing import Any, ParamSpec


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
_remembers: ContextVar[bool] = ContextVar("remembers how it was told", default=False)
Given = ParamSpec("Given")


class Told(str):
    """Words that know how they were said, so that they can be said again in another language."""

    __slots__ = ("again",)
    again: Callable[[], str]

    def __str__(self) -> str:
        return self

    def __reduce__(self) -> tuple[type[str], tuple[str]]:
        return str, (str.__str__(self),)

    def __add__(self, other: str) -> str:
        return later(lambda: f"{say_again(self)}{say_again(other)}")

    def __radd__(self, other: str) -> str:
        return later(lambda: f"{say_again(other)}{say_again(self)}")

    def strip(self, of: str | None = None, /) -> str:
        return later(lambda: str(say_again(self)).strip(of))


@contextmanager
def remembering() -> Iterator[None]:
    """Within it what is told is a `Told`: the receipt of an act is read by others later."""
    before = _remembers.set(True)
    try:
        yield
    finally:
        _remembers.reset(before)


def say_again(words: object) -> object:
    """The same words in the language that is spoken now; what is no word stays as it is."""
    if isinstance(words, Told):
        before = _remembers.set(False)
        try:
            return words.again()
        finally:
            _remembers.reset(before)
    if isinstance(words, list | tuple) and type(words) in (list, tuple):
        return type(words)(say_again(one) for one in words)
    return words


def later(saying: Callable[[], str]) -> str:
    """Words put together by hand: said now, and by the same function again."""
    return _told(saying(), saying)


def sentences(*parts: str) -> str:
    """One after the other, without those that say nothing.

    >>> sentences("Mira is in Reef.", "", "Deneb is there.")
    'Mira is in Reef. Deneb is there.'
    """
    said = [one for one in parts if one.strip()]
    return later(lambda: " ".join(str(say_again(one)).strip() for one in said))


def strung(parts: Iterable[str], mark: str) -> str:
    """One after the other with a mark between.

    >>> strung(["Mira, mating", "Deneb, off food"], "; ")
    'Mira, mating; Deneb, off food'
    """
    said = list(parts)
    return later(lambda: mark.join(str(say_again(one)) for one in said))


def says(function: Callable[Given, str]) -> Callable[Given, str]:
    """A function whose words are said again by calling it again, with what it was given."""

    @wraps(function)
    def saying(*args: Given.args, **kwargs: Given.kwargs) -> str:
        text = function(*args, **kwargs)
        if not _remembers.get():
            return text
        return _told(text, lambda: function(*_again(args), **_again_named(kwargs)))

    return saying


def _again(values: tuple[object, ...]) -> tuple[Any, ...]:
    return tuple(say_again(one) for one in values)


def _again_named(values: dict[str, object]) -> dict[str, Any]:
    return {name: say_again(one) for name, one in values.items()}


def _told(text: str, again: Callable[[], str]) -> str:
    if not _remembers.get():
        return text
    told = Told(text)
    told.again = again
    return told


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
    >>> tell("Planned from {day}.", day="18 Dec.")
    'Planned from 18 Dec.'
    """
    text = _filled(_translator.one(sentence), sentence, values)
    if not _remembers.get():
        return text
    return _told(text, lambda: tell(sentence, **_again_named(values)))


def tell_many(one: str, many: str, number: int, /, **values: object) -> str:
    """A sentence with the plural that goes with so many; {number} is filled in by itself.

    >>> tell_many("{number} pup", "{number} pups", 1), tell_many("{number} pup", "{number} pups", 0)
    ('1 pup', '0 pups')
    """
    values.setdefault("number", number)
    written = one if number == 1 else many
    text = _filled(_translator.several(one, many, number), written, values)
    if not _remembers.get():
        return text
    return _told(text, lambda: tell_many(one, many, number, **_again_named(values)))


def tell_as(meaning: str, sentence: str, /, **values: object) -> str:
    """A word that English uses for two things; `meaning` tells the translator which.

    >>> tell_as("of a tank", "Side")
    'Side'
    """
    text = _filled(_translator.meant(meaning, sentence), sentence, values)
    if not _remembers.get():
        return text
    return _told(text, lambda: tell_as(meaning, sentence, **_again_named(values)))


def label_of(choices: Callable[[str], Any], value: str) -> str:
    """What one of the choices of a field is called; a value that is none of them as it is.

    As `get_FIELD_display` of a record says it, which looks up the words of all of them each time.
    """
    try:
        return str(choices(value).label)
    except ValueError:
        return value


def _filled(translated: str, written: str, values: dict[str, object]) -> str:
    if not values:
        return translated
    try:
        said = translated.format(**values)
    except (KeyError, IndexError, ValueError):  # a slip in a catalog must not take the page away
        said = written.format(**values)
    # A sentence that ends with an abbreviation, as of a month, has one full stop and not two.
    return said[:-1] if said.endswith("..") and not said.endswith("...") else said
