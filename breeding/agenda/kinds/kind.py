"""What a kind of line on the day is: all that is told of it, and the harm it is ranked by.

A line holds its row. What is stored, or sent by a form, holds the row's key as text.
"""

import datetime
from collections import defaultdict
from dataclasses import dataclass
from typing import Literal

from breeding.words.language import message, tell

Urgency = Literal["now", "soon", "later"]
URGENCIES: tuple[Urgency, ...] = ("now", "soon", "later")

SOON_DAYS = 14  # how far ahead the day looks

# The groups of kinds among which a person chooses for the digest.
GROUPS = {
    "separation": message("Separating: bite marks, refused food, bred, the last day for it"),
    "company": message(
        "Company: who must leave a tank, for pups, a wound, a rest, quarantine or kin"
    ),
    "harm": message(
        "Wounds, illness and food: whoever is hurt, not well or refuses food; treatments"
    ),
    "water": message("Water: not fit where animals are, tests that are overdue"),
    "space": message("Space: tanks that are too small for those in them, or soon will be"),
    "birth": message("Birth: nursery, daily watch, past her window, a scan that could tell"),
    "young": message("Young: fresh litters, pups that can leave"),
    "planned": message("Planned pairings whose day has come"),
    "buyers": message("Buyers: reservations that run out, pups that fit a wish"),
    "records": message("Records that say different things: tanks, pairings, litters"),
    "own": message("Reminders that somebody set"),
    "other": message("Everything else"),
}

# Alarms count from midnight at the start of the first day, so 8 hours is 8 o'clock that morning
# (an hour off on the two days a year on which clocks change) and 15 hours before is 9 o'clock on
# the day before. Defaults of this project, no source.
DAY = datetime.timedelta(days=1)
MORNING = datetime.timedelta(hours=8)
DAY_BEFORE = -datetime.timedelta(hours=15)

WITHDRAW = "program:withdraw"

# The day is one list by these ranks, then by day: what harm comes of leaving it, the worst first.
HARM = {
    0: "she is being hurt now",
    1: "hurt, ill or in bad water: worse with each day",
    2: "lives are at stake within days: young beside males, a female past her window",
    3: "a birth may come: with males beside her, or unseen, the young are lost",
    4: "a birth will come, and there is time left to be ready for it",
    5: "harm could be under way, and nobody has looked",
    6: "what is known may be wrong, and other lines rest on it",
    7: "a chance is missed, and no animal suffers",
    8: "somebody waits",
    9: "nobody comes to harm",
}
LAST = max(HARM)


@dataclass(frozen=True)
class Button:
    """What a button says and where it leads; words in braces are facts of the line.

    argument: the name of the fact that the route takes. withdraws: the kind of record that it
    takes before that. for_everyone: it only looks, so that viewers have it too.
    """

    words: str
    route: str
    argument: str = ""
    query: str = ""
    withdraws: str = ""
    for_everyone: bool = False


@dataclass(frozen=True)
class Kind:
    """One kind of line.

    key: what stored answers, events and digests hold; never changed. heading: what to do in a
    few words, with facts of the line in braces. page: the route of what it is about. urgency:
    before it presses. presses_after_days: so many days after its day it is "now" (None: never).
    rank: what harm comes of leaving it, one of HARM; 0 comes first. late_rank: once its day is
    over, where that is another. alarms: from midnight of its first day.
    buttons: those of every line; a line may have more of its own. days_ahead: how long before
    its day it stands on the front page. margin: how its day is said: "by" a day, "from" a day
    on, or "daily" from a day on. outdoors: what calendars say instead of the heading, which
    names a buyer: calendars are copied to phones and to the machines of whoever runs them.
    is_told_daily: worth a digest every morning. stands_for_today: a line for today has only the
    day of reckoning, which moves on by itself. for_owners: nobody else can do anything about it.
    is_done_at_once: its first button says that it is done, with one tap.
    several: the heading of many such lines together, where that of one names something of its own.
    """

    key: str
    heading: str
    group: str
    page: str
    urgency: Urgency = "soon"
    presses_after_days: int | None = None
    rank: int = LAST
    late_rank: int | None = None
    alarms: tuple[datetime.timedelta, ...] = ()
    buttons: tuple[Button, ...] = ()
    days_ahead: int = SOON_DAYS
    margin: Literal["by", "from", "daily"] = "by"
    outdoors: str = ""
    is_told_daily: bool = False
    stands_for_today: bool = False
    for_owners: bool = False
    is_done_at_once: bool = False
    several: str = ""

    def urgency_on(self, today: datetime.date, *, due_on: datetime.date) -> Urgency:
        """How pressing a line for one day is on another."""
        if self.presses_after_days is None:
            return self.urgency
        return "now" if (today - due_on).days >= self.presses_after_days else self.urgency

    def rank_on(self, today: datetime.date, *, due_on: datetime.date) -> int:
        """Where a line for one day stands on another."""
        is_late = self.late_rank is not None and due_on < today
        return self.late_rank if is_late and self.late_rank is not None else self.rank

    @property
    def is_of_buyers(self) -> bool:
        """Whether it tells of buyers and what they wish for, which not every viewer may read."""
        return self.group == "buyers"

    @property
    def in_general(self) -> str:
        """The heading where the facts of a line are not known any more; they are left open."""
        told = tell(self.heading).format_map(defaultdict(lambda: "…", from_males=""))
        return told or self.category

    @property
    def remembered(self) -> str:
        """As `in_general`, without gaps where there are words of several that have none."""
        return tell(self.several) if self.several and "{" in self.heading else self.in_general

    @property
    def category(self) -> str:
        """The key as words, for programs that sort events by it."""
        return " ".join(self.key.split("_"))
