"""What must not be done with an animal for a while, and why: one small value that every door reads."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from breeding.words.days import long_day

Forbidden = Literal["sell", "move", "breed"]
EVERYTHING: frozenset[Forbidden] = frozenset(["sell", "move", "breed"])


@dataclass(frozen=True, slots=True)
class Hold:
    """Why an animal is held, in words that follow its name, and the first day on which it is free.

    until: None while nobody knows, as long as what holds it goes on.
    """

    animal_key: int
    why: str
    until: date | None = None
    forbids: frozenset[Forbidden] = EVERYTHING

    @property
    def in_words(self) -> str:
        """
        >>> Hold(1, "under treatment").in_words
        'under treatment'
        >>> Hold(1, "treated with Salt", date(2026, 3, 1)).in_words
        'treated with Salt, held until 1 March 2026'
        """
        return f"{self.why}, held until {long_day(self.until)}" if self.until else self.why
