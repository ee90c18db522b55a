"""Words of caution that screens and sheets carry, each sentence with its source."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from breeding.program.fixture_files import fixture_path


@dataclass(frozen=True)
class Sentence:
    """One sentence and what it rests on."""

    text: str
    source: str
    is_on_sheet: bool


@dataclass(frozen=True)
class Caution:
    """A heading and its sentences."""

    key: str
    heading: str
    sentences: tuple[Sentence, ...]

    @property
    def full(self) -> str:
        """Everything there is to say, for the care page."""
        return " ".join(sentence.text for sentence in self.sentences)

    @property
    def short(self) -> str:
        """What a sheet of paper prints."""
        return " ".join(sentence.text for sentence in self.sentences if sentence.is_on_sheet)


@cache
def cautions() -> Mapping[str, Caution]:
    """All cautions of fixtures/cautions.json by key.

    >>> "45 °C (113 °F)" in cautions()["spine"].short
    True
    """
    rows = json.loads(fixture_path("cautions.json").read_text("utf-8"))["cautions"]
    return MappingProxyType(
        {
            row["key"]: Caution(
                row["key"],
                row["heading"],
                tuple(
                    Sentence(sentence["text"], sentence["source"], sentence["sheet"])
                    for sentence in row["sentences"]
                ),
            )
            for row in rows
        }
    )
