"""Which days a course shows: so many up to a day; no rows."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass

from breeding.words.language import message

Date = datetime.date

SPANS = {
    30: message("30 days"),
    90: message("3 months"),
    180: message("6 months"),
    365: message("a year"),
    730: message("2 years"),
}
USUAL_DAYS = 180
EARLIEST = Date(1900, 1, 1)


@dataclass(frozen=True)
class Span:
    """So many days, the last of them among them."""

    days: int
    last: Date

    @property
    def first(self) -> Date:
        return self.last - datetime.timedelta(days=self.days - 1)

    @property
    def earlier(self) -> Date:
        """The last day of the span before."""
        return self.first - datetime.timedelta(days=1)


def span_asked(asked: Mapping[str, str], today: Date) -> Span:
    """The span that an address asks for; what cannot be read, or is still to come, is the usual.

    >>> span_asked({"days": "30", "until": "2026-03-01"}, Date(2026, 11, 28)).first
    datetime.date(2026, 1, 31)
    >>> span_asked({"days": "7e9", "until": "soon"}, Date(2026, 11, 28)).days
    180
    """
    days = asked.get("days", "")
    chosen = next((one for one in SPANS if str(one) == days), USUAL_DAYS)
    try:
        last = Date.fromisoformat(asked.get("until", ""))
    except ValueError:
        last = today
    return Span(chosen, min(max(last, EARLIEST), today))
