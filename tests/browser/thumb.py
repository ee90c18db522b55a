"""A keeper's thumb: what is done by hand on the way to something, counted."""

from typing import Any


class Thumb:
    """Every tap counts, and every field that is typed into.

    To choose from a list is two taps: one opens it. To type into a field is one more tap, unless
    the page has put the cursor there.
    """

    def __init__(self, page: Any) -> None:
        self.page = page
        self.taps = self.typed = 0

    def tap(self, what: Any) -> None:
        self.taps += 1
        what.click()

    def choose(self, what: Any, **which: str) -> None:
        self.taps += 2
        what.select_option(**which)

    def write(self, what: Any, text: str) -> None:
        self.taps += not what.evaluate("field => field === document.activeElement")
        self.typed += 1
        what.fill(text)

    def __str__(self) -> str:
        return f"{self.taps} taps, {self.typed} typed"
