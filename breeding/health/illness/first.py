"""What is done first for an animal that is not well, and when to look at it again."""

import json
from collections.abc import Mapping
from functools import cache
from typing import Any

from breeding.program.reference.fixture_files import fixture_path
from breeding.words.language import tell


@cache
def health_file() -> Mapping[str, Any]:
    """The whole file."""
    content: Mapping[str, Any] = json.loads(fixture_path("health.json").read_text("utf-8"))
    return content


def look_again_days(kind: str) -> int:
    """So many days after one look the next is due.

    >>> look_again_days("breathing"), look_again_days("skin")
    (1, 2)
    """
    rows = health_file()["look_again_days"]
    return int(next(row["days"] for row in rows if kind in row["kinds"]))


def first_steps() -> list[str]:
    """What a keeper does first, whatever it is, in the order in which it is done."""
    return [tell(row["text"]) for row in health_file()["first"]]


def words_of_kind(kind: str) -> str:
    """What is to be known of one thing that was seen; empty for nothing.

    >>> words_of_kind("swollen")
    'A swollen female that has been with no male is more likely ill than pregnant.'
    """
    text = str(health_file()["of_kind"].get(kind, {}).get("text", ""))
    return tell(text) if text else ""
