"""The few words that a cell can hold, as pages say them to whoever chooses among them.

In the cells themselves they stand as they are, in whatever language somebody reads.
"""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import pgettext_lazy

_SAID: Mapping[str, Any] = {
    "female": pgettext_lazy("in a cell of a table", "female"),
    "male": pgettext_lazy("in a cell of a table", "male"),
    "unknown": pgettext_lazy("in a cell of a table", "unknown"),
    "wild": pgettext_lazy("in a cell of a table", "wild"),
    "captive bred elsewhere": pgettext_lazy("in a cell of a table", "captive bred elsewhere"),
    "born here": pgettext_lazy("in a cell of a table", "born here"),
    "here": pgettext_lazy("in a cell of a table", "here"),
    "on loan": pgettext_lazy("in a cell of a table", "on loan"),
    "died": pgettext_lazy("in a cell of a table", "died"),
    "yes": pgettext_lazy("in a cell of a table", "yes"),
    "no": pgettext_lazy("in a cell of a table", "no"),
    "own car": pgettext_lazy("in a cell of a table", "own car"),
    "courier": pgettext_lazy("in a cell of a table", "courier"),
    "by air": pgettext_lazy("in a cell of a table", "by air"),
    "ion": pgettext_lazy("in a cell of a table", "ion"),
    "nitrogen": pgettext_lazy("in a cell of a table", "nitrogen"),
    "right": pgettext_lazy("in a cell of a table", "right"),
    "whole tank": pgettext_lazy("in a cell of a table", "whole tank"),
    "published": pgettext_lazy("in a cell of a table", "published"),
    "keeper": pgettext_lazy("in a cell of a table", "keeper"),
    "common practice": pgettext_lazy("in a cell of a table", "common practice"),
    "assumption": pgettext_lazy("in a cell of a table", "assumption"),
    "ate": pgettext_lazy("in a cell of a table", "ate"),
    "ate little": pgettext_lazy("in a cell of a table", "ate little"),
    "refused": pgettext_lazy("in a cell of a table", "refused"),
    "nobody saw": pgettext_lazy("in a cell of a table", "nobody saw"),
    "lent out": pgettext_lazy("in a cell of a table", "lent out"),
    "taken in": pgettext_lazy("in a cell of a table", "taken in"),
    "said to be": pgettext_lazy("in a cell of a table", "said to be"),
    "scan": pgettext_lazy("in a cell of a table", "scan"),
    "not known": pgettext_lazy("in a cell of a table", "not known"),
    "nothing found": pgettext_lazy("in a cell of a table", "nothing found"),
    "was ill and is well": pgettext_lazy("in a cell of a table", "was ill and is well"),
    "ended before its time": pgettext_lazy("in a cell of a table", "ended before its time"),
    "illness": pgettext_lazy("in a cell of a table", "illness"),
    "bite": pgettext_lazy("in a cell of a table", "bite"),
    "water": pgettext_lazy("in a cell of a table", "water"),
    "would not eat": pgettext_lazy("in a cell of a table", "would not eat"),
    "birth": pgettext_lazy("in a cell of a table", "birth"),
    "weak from birth": pgettext_lazy("in a cell of a table", "weak from birth"),
    "accident": pgettext_lazy("in a cell of a table", "accident"),
    "journey": pgettext_lazy("in a cell of a table", "journey"),
    "treatment": pgettext_lazy("in a cell of a table", "treatment"),
    "old age": pgettext_lazy("in a cell of a table", "old age"),
    "put down": pgettext_lazy("in a cell of a table", "put down"),
    "shows it": pgettext_lazy("in a cell of a table", "shows it"),
    "as with two copies": pgettext_lazy("in a cell of a table", "as with two copies"),
    "does not show it": pgettext_lazy("in a cell of a table", "does not show it"),
    "cannot be told yet": pgettext_lazy("in a cell of a table", "cannot be told yet"),
    "tested: no copy": pgettext_lazy("in a cell of a table", "tested: no copy"),
    "tested: one copy": pgettext_lazy("in a cell of a table", "tested: one copy"),
    "tested: two copies": pgettext_lazy("in a cell of a table", "tested: two copies"),
    "something else": pgettext_lazy("in a cell of a table", "something else"),
}
_LEFT = {
    "side": pgettext_lazy("side of a tank, in a cell of a table", "left"),
    "state": pgettext_lazy("state of an animal, in a cell of a table", "left"),
}


def said(sort: str, word: str) -> str:
    """A word of a cell of this sort, in the reader's language."""
    return str(_LEFT.get(sort, word) if word == "left" else _SAID.get(word, word))
