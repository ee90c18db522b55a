"""Medicines that are known to kill some animals: recognised by their words, asked about first."""

import re
from collections.abc import Iterable, Iterator

from breeding.animals.models import Animal
from breeding.animals.species.kinds import words_of_animals
from breeding.health.illness.first import health_file
from breeding.program.kinds import kind_words
from breeding.program.problems.doubts import Doubt
from breeding.words.kinds import KindWords
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import joined

# What the file calls them, for the catalogs: there a name is no sentence.
SAID = (message("copper"), message("an organophosphate"), message("formalin"))


def harmful_in(text: str, kinds: KindWords) -> list[str]:
    """The names of those that are known to kill animals of this kind, as a remedy is called.

    >>> from breeding.words.kinds import RAYS
    >>> harmful_in("Copper(II) sulfate with formalin", RAYS), harmful_in("Salt", RAYS)
    (['copper', 'formalin'], [])
    >>> harmful_in("Copper sulfate", KindWords("fish", "fish", "standard length"))
    []
    """
    typed = text.casefold()
    return [
        row["name"]
        for row in health_file()["medicines"]
        if (kinds.has_spine or row.get("only") != "spine")
        and any(_begins_a_word(word, typed) for word in row["recognised_by"])
    ]


def may_harm(text: str) -> bool:
    """Whether it is called as one that is known to kill animals of any kind.

    >>> may_harm("Copper sulfate"), may_harm("Salt")
    (True, False)
    """
    typed = text.casefold()
    named = (word for row in health_file()["medicines"] for word in row["recognised_by"])
    return any(_begins_a_word(word, typed) for word in named)


def _begins_a_word(word: str, typed: str) -> bool:
    return re.search(rf"(?<![^\W\d_]){re.escape(word)}", typed) is not None


def words_of_treated(animals: Iterable[Animal]) -> KindWords:
    """How those are called that are treated; those of the program where nobody is in the water."""
    keys = [one.pk for one in animals]
    return words_of_animals(keys) if keys else kind_words()


def harm_words(names: list[str], kinds: KindWords) -> str:
    """What is said beside a treatment with one of these; empty for none."""
    if not names:
        return ""
    return tell_many(
        "By common practice {remedies} kills {many}, at the doses meant for other fish and below. "
        "A veterinarian decides on every dose.",
        "By common practice {remedies} kill {many}, at the doses meant for other fish and below. A "
        "veterinarian decides on every dose.",
        len(names),
        remedies=joined([tell(one) for one in names]),
        many=kinds.many if kinds.has_spine else tell("animals"),
    )


def doubts_of_remedy(remedy: str, kinds: KindWords) -> Iterator[Doubt]:
    """Asked before it is kept, with a reason."""
    if names := harmful_in(remedy, kinds):
        words = tell("“{remedy}”: {harm}", remedy=remedy, harm=harm_words(names, kinds))
        yield Doubt(words, "remedy", needs_reason=True)
