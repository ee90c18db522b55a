"""Words of caution that screens and sheets carry, each sentence with its source."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from breeding.program.reference.fixture_files import fixture_path
from breeding.words.kinds import RAYS, KindWords
from breeding.words.language import tell

SPINE = "spine"


@dataclass(frozen=True)
class Sentence:
    """One sentence and what it rests on, in the language of whoever reads it."""

    message: str
    rests_on: str
    is_on_sheet: bool
    kinds: KindWords

    @property
    def text(self) -> str:
        return self.kinds.fill(tell(self.message))

    @property
    def source(self) -> str:
        return tell(self.rests_on)


@dataclass(frozen=True)
class Caution:
    """A heading and its sentences."""

    key: str
    called: str
    sentences: tuple[Sentence, ...]

    @property
    def heading(self) -> str:
        return tell(self.called)

    @property
    def full(self) -> str:
        """Everything there is to say, for the care page."""
        return " ".join(sentence.text for sentence in self.sentences)

    @property
    def short(self) -> str:
        """What a sheet of paper prints."""
        return " ".join(sentence.text for sentence in self.sentences if sentence.is_on_sheet)


@cache
def cautions(kinds: KindWords = RAYS) -> Mapping[str, Caution]:
    """All cautions of fixtures/cautions.json by key, for animals that are called so.

    Where none has a spine, what is only of it has no sentence.

    >>> "45 °C (113 °F)" in cautions()["spine"].short
    True
    >>> cautions(KindWords("fish", "fish", "standard length"))["spine"].sentences
    ()
    """
    rows = json.loads(fixture_path("cautions.json").read_text("utf-8"))["cautions"]
    return MappingProxyType(
        {
            row["key"]: Caution(
                row["key"],
                row["heading"],
                tuple(
                    Sentence(sentence["text"], sentence["source"], sentence["sheet"], kinds)
                    for sentence in row["sentences"]
                    if kinds.has_spine or sentence.get("only") != SPINE
                ),
            )
            for row in rows
        }
    )
