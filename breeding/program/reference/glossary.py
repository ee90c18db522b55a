"""The terms a keeper meets, as fixtures/glossary.json explains them: read, not yet translated."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from breeding.program.reference.fixture_files import fixture_path


@dataclass(frozen=True)
class Term:
    """What a word means; every text is a message, said by `tell` when it is shown.

    words: the term as it stands within a sentence. key: its anchor on the page of words. of_rays:
    only rays have it, and a program without them is not told of it.
    """

    key: str
    words: str
    text: str
    example: str
    source: str
    of_rays: bool = False


@cache
def terms() -> Mapping[str, Term]:
    """Every term by its key.

    >>> terms()["F"].words
    'F'
    """
    rows = json.loads(fixture_path("glossary.json").read_text("utf-8"))["terms"]
    return MappingProxyType({row["key"]: Term(**row) for row in rows})
