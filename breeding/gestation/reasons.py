"""What an estimate of pregnancy rests on, and how that is said in plain words; pure."""

import datetime
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from typing import Any

from breeding.words.days import long_day, span_words
from breeding.words.numbers import counted

Date = datetime.date
SayDay = Callable[[Date], str]

SIGN_WORDS = {
    "copulation": "mating seen",
    "fresh_bite_marks": "fresh bite marks",
    "biting": "biting",
    "parallel_swimming": "parallel swimming",
    "following": "following",
}


@dataclass(frozen=True)
class Reason:
    """One thing the estimate rests on.

    kind: "sign", "company", "unknown", "quiet", "scan" or "not_born". on, until: first and last
    day; days: on how many of them. weight, 0 to 1: for what speaks for a mating the share of the
    possible mating days that it carries (together 1); for what `is_against` one, for a scan and
    for "not born yet" by how much it moves the chance. sign, male: of a sign. positive,
    too_early: of a scan.
    """

    kind: str
    on: Date
    until: Date
    weight: float
    sign: str = ""
    male: Hashable = None
    days: int = 1
    is_against: bool = False
    positive: bool = False
    too_early: bool = False

    def text(
        self,
        day: SayDay | None = None,
        labels: Mapping[str, str] | None = None,
        names: Mapping[Any, str] | None = None,
    ) -> str:
        """In plain words; `day` writes a date, `labels` a sign, `names` a male.

        >>> Reason("sign", Date(2026, 3, 3), Date(2026, 3, 3), 0.9, sign="copulation").text()
        'mating seen on 3 March 2026'
        """
        day = day or long_day
        if self.kind == "sign":
            label = (labels or {}).get(self.sign) or SIGN_WORDS.get(self.sign)
            male = (names or {}).get(self.male)
            by = f" with {male}" if male else ""
            seen = f"{label or self.sign.replace('_', ' ')}{by} on {self._days(day)}"
            return f"{seen}, oftener seen without a mating" if self.is_against else seen
        if self.kind == "company":
            return f"shared water with a male on {self._days(day)}"
        if self.kind == "unknown":
            return f"company not known on {self._days(day)}"
        if self.kind == "quiet":
            return f"looked at on {self._days(day)}, nothing seen"
        if self.kind == "scan":
            seen = "pups seen" if self.positive else "nothing seen"
            early = ", too early to tell" if self.too_early else ""
            return f"scan of {day(self.on)}: {seen}{early}"
        return f"no birth by {day(self.on)}"

    def _days(self, day: SayDay) -> str:
        """Its day, or how many between which two."""
        if self.days == 1:
            return day(self.on)
        return f"{counted(self.days, 'day')} from {span_words(self.on, self.until, day)}"
