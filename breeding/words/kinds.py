"""How pages speak of the animals of some species: rays, fish, or animals where they differ."""

from collections.abc import Iterable
from dataclasses import dataclass

from breeding.words.language import message, says, tell

# What the species that come with the program are called; others are called as a keeper wrote it.
CALLED = (
    *(message("animal"), message("animals"), message("an animal")),
    *(message("ray"), message("rays"), message("a ray")),
    *(message("fish"), message("a fish")),
    *(message("size"), message("disc width"), message("standard length"), message("total length")),
)
VOWELS = "aeiou"


@dataclass(frozen=True)
class KindWords:
    """The words for one and for several, what their size is, and whether their tail can sting."""

    one: str
    many: str
    size: str
    has_spine: bool = False

    @property
    def size_said(self) -> str:
        """What their size is, in the language of whoever reads it where that has a word for it."""
        return tell(self.size)

    @property
    def size_heading(self) -> str:
        """The same as the head of a column."""
        return _capital(self.size_said)

    @property
    def a_one(self) -> str:
        """The word for one with its article.

        >>> ANIMALS.a_one, RAYS.a_one
        ('an animal', 'a ray')
        """
        words = f"{'an' if self.one[:1].lower() in VOWELS else 'a'} {self.one}"
        return tell(words)

    def fill(self, sentence: str) -> str:
        """A sentence whose {one}, {a_one}, {A_one}, {many}, {Many} and {size} are filled in.

        >>> ANIMALS.fill("{A_one} eats. {Many} grow.")
        'An animal eats. Animals grow.'
        """
        return sentence.format(
            one=tell(self.one),
            many=tell(self.many),
            Many=_capital(tell(self.many)),
            a_one=self.a_one,
            A_one=_capital(self.a_one),
            size=self.size_said,
        )


ANIMALS = KindWords("animal", "animals", "size")
RAYS = KindWords("ray", "rays", "disc width", has_spine=True)  # what the cautions were written for


def words_of(kinds: Iterable[KindWords]) -> KindWords:
    """The words for all of them together; where they differ, words that fit any animal.

    >>> fish = KindWords("fish", "fish", "standard length")
    >>> words_of([RAYS, RAYS]) == RAYS, words_of([RAYS, fish])
    (True, KindWords(one='animal', many='animals', size='size', has_spine=True))
    """
    kinds = list(kinds)
    called = {(one.one, one.many) for one in kinds}
    sizes = {one.size for one in kinds}
    one, many = called.pop() if len(called) == 1 else (ANIMALS.one, ANIMALS.many)
    return KindWords(
        one,
        many,
        sizes.pop() if len(sizes) == 1 else ANIMALS.size,
        any(kind.has_spine for kind in kinds),
    )


@says
def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
