"""What must not be done with an animal for a while, and why: a value that every door reads."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from breeding.words.days import long_day
from breeding.words.language import message, tell

Forbidden = Literal["sell", "move", "breed"]
# What must not be done, by which of selling, moving and breeding.
_NOT_TO_BE: dict[frozenset[Forbidden], str] = {
    frozenset(["sell"]): message("not to be sold"),
    frozenset(["move"]): message("not to be moved"),
    frozenset(["breed"]): message("not to be bred"),
    frozenset(["sell", "move"]): message("not to be sold or moved"),
    frozenset(["sell", "breed"]): message("not to be sold or bred"),
    frozenset(["move", "breed"]): message("not to be moved or bred"),
    frozenset(["sell", "move", "breed"]): message("not to be sold, moved or bred"),
}
EVERYTHING: frozenset[Forbidden] = frozenset(["sell", "move", "breed"])


@dataclass(frozen=True, slots=True)
class Hold:
    """Why an animal is held, in words that follow its name, and the first day on which it is free.

    why: "is under treatment with salt since 3 March 2026". until: None while nobody knows, as long
    as what holds it goes on.
    """

    animal_key: int
    why: str
    until: date | None = None
    forbids: frozenset[Forbidden] = EVERYTHING

    @property
    def in_words(self) -> str:
        """
        >>> Hold(1, "is in quarantine").in_words
        'is in quarantine'
        >>> Hold(1, "was treated with salt", date(2026, 3, 1)).in_words
        'was treated with salt, and is held until 1 March 2026'
        """
        return (
            tell("{why}, and is held until {day}", why=self.why, day=long_day(self.until))
            if self.until
            else self.why
        )

    @property
    def forbidden_words(self) -> str:
        """What must not be done meanwhile.

        >>> Hold(1, "is treated").forbidden_words
        'not to be sold, moved or bred'
        >>> Hold(1, "is in quarantine", forbids=frozenset(["sell", "breed"])).forbidden_words
        'not to be sold or bred'
        """
        return tell(_NOT_TO_BE[self.forbids])

    def holds_on(self, on: date) -> bool:
        """Whether it still holds on a later day, as far as anybody knows."""
        return self.until is None or on < self.until
