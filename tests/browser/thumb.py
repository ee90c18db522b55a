"""A keeper's thumb: what is done on the way to something, counted; and how long it takes."""

import re
from dataclasses import dataclass
from typing import Any

# Keystroke-level model: Card, Moran and Newell 1980, The keystroke-level model for user performance
# time with interactive systems, Commun. ACM 23:396-410, table 1. Seconds; of the typists the worst,
# "unfamiliar with keyboard".
A_KEY, TO_POINT, TO_REACH, TO_THINK = 1.20, 1.10, 0.40, 1.35
# Silent reading of English: 238 words a minute on the mean of 190 studies, most adults 175 to 300:
# Brysbaert 2019, How many words do we read per minute?, J. Mem. Lang. 109:104047. The slow end.
WORDS_A_MINUTE = 175

# The texts that stand on the page above the lower edge of an element, or on it, and are shown.
READ_DOWN_TO = """(element) => {
  const end = element.getBoundingClientRect().bottom;
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const read = [];
  while (walker.nextNode()) {
    const node = walker.currentNode;
    if (node.parentElement.closest("script, style, noscript, template, option")) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const box = range.getBoundingClientRect();
    if (!box.width || !box.height || box.top > end) continue;
    read.push(node.data.trim());
  }
  return read;
}"""


@dataclass
class Pace:
    """How long it takes somebody who does it for the first time, by published figures."""

    keys: int
    points: int
    reaches: int
    thoughts: int
    words: int

    @property
    def seconds(self) -> float:
        by_hand = self.keys * A_KEY + self.points * TO_POINT + self.reaches * TO_REACH
        return by_hand + self.thoughts * TO_THINK + self.words * 60 / WORDS_A_MINUTE


class Thumb:
    """Every tap counts, and every field that is typed into.

    To choose from a list is two taps: one opens it. To type into a field is one more tap, unless
    the page has put the cursor there. All that stands above the place of a tap is read before it;
    what was read once on the way is known again where it returns.
    """

    def __init__(self, page: Any) -> None:
        self.page = page
        self.taps = self.typed = 0
        self.keys = self.thoughts = self.words = 0
        self._known: set[str] = set()

    def _read(self, what: Any) -> None:
        new = set(what.evaluate(READ_DOWN_TO)) - self._known
        self._known |= new
        self.words += sum(len(re.findall(r"\w+", text)) for text in new)

    def tap(self, what: Any) -> None:
        self._read(what)
        self.taps += 1
        self.thoughts += 1
        what.click()

    def choose(self, what: Any, **which: str) -> None:
        self._read(what)
        self.taps += 2
        self.thoughts += 2
        what.select_option(**which)

    def write(self, what: Any, text: str) -> None:
        self._read(what)
        self.taps += not what.evaluate("field => field === document.activeElement")
        self.typed += 1
        self.thoughts += 1
        self.keys += len(text)
        what.fill(text)

    @property
    def pace(self) -> Pace:
        """Two reaches a field: to the keyboard and back."""
        return Pace(self.keys, self.taps, 2 * self.typed, self.thoughts, self.words)

    def __str__(self) -> str:
        return f"{self.taps} taps, {self.typed} typed"
