"""What an estimate of pregnancy rests on, and how that is said in plain words; pure."""

import datetime
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from typing import Any

from breeding.words.days import long_day, span_words
from breeding.words.language import message, tell, tell_many

Date = datetime.date
SayDay = Callable[[Date], str]

SIGN_WORDS = {
    "copulation": message("mating seen"),
    "fresh_bite_marks": message("fresh bite marks"),
    "biting": message("biting"),
    "parallel_swimming": message("parallel swimming"),
    "following": message("following"),
}


OF_DAYS = {  # of one day, and of several
    "company": (
        message("shared water with a male on {day}"),
        message("shared water with a male on {days}"),
    ),
    "unknown": (message("company not known on {day}"), message("company not known on {days}")),
    "quiet": (
        message("looked at on {day}, nothing seen"),
        message("looked at on {days}, nothing seen"),
    ),
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
            return self._sign(day, labels or {}, names or {})
        if self.kind == "scan":
            return tell(self._scan(), day=day(self.on))
        if self.kind == "not_born":
            return tell("no birth by {day}", day=day(self.on))
        one, several = OF_DAYS[self.kind]
        if self.days == 1:
            return tell(one, day=day(self.on))
        return tell(several, days=self._days(day))

    def _sign(self, day: SayDay, labels: Mapping[str, str], names: Mapping[Any, str]) -> str:
        label = labels.get(self.sign) or tell(SIGN_WORDS.get(self.sign, ""))
        seen = {"sign": label or self.sign.replace("_", " "), "male": names.get(self.male)}
        if self.days == 1:
            return tell(self._seen_on(bool(seen["male"])), **seen, day=day(self.on))
        return tell(self._seen_on_days(bool(seen["male"])), **seen, days=self._days(day))

    def _seen_on(self, with_male: bool) -> str:
        if self.is_against and with_male:
            return message("{sign} with {male} on {day}, seen more often without a mating")
        if self.is_against:
            return message("{sign} on {day}, seen more often without a mating")
        return message("{sign} with {male} on {day}") if with_male else message("{sign} on {day}")

    def _seen_on_days(self, with_male: bool) -> str:
        if self.is_against and with_male:
            return message("{sign} with {male} on {days}, seen more often without a mating")
        if self.is_against:
            return message("{sign} on {days}, seen more often without a mating")
        return message("{sign} with {male} on {days}") if with_male else message("{sign} on {days}")

    def _scan(self) -> str:
        if self.positive and self.too_early:
            return message("scan of {day}: pups seen, too early to tell")
        if self.positive:
            return message("scan of {day}: pups seen")
        if self.too_early:
            return message("scan of {day}: nothing seen, too early to tell")
        return message("scan of {day}: nothing seen")

    def _days(self, day: SayDay) -> str:
        """How many, between which two."""
        return tell_many(
            "{number} day from {span}",
            "{number} days from {span}",
            self.days,
            span=span_words(self.on, self.until, day),
        )
