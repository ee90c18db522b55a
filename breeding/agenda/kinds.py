"""The kinds of lines on the day: one row for each, and all that is told of it; no Django.

A line holds its row. What is stored, or sent by a form, holds the row's key as text.
"""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from breeding.gestation.actions import HEADINGS

Urgency = Literal["now", "soon", "later"]
URGENCIES: tuple[Urgency, ...] = ("now", "soon", "later")

SOON_DAYS = 14  # how far ahead the day looks

# The groups of kinds among which a person chooses for the digest.
GROUPS = {
    "separation": "Separating: bite marks, refused food, bred, the last day for it",
    "company": "Company: who must leave a tank, for pups, a wound, a rest, quarantine or kin",
    "harm": "Wounds and food: marks to look at again, whoever refuses food",
    "water": "Water: not fit where animals are, tests that are overdue",
    "birth": "Birth: nursery, daily watch, past her window, a scan that could tell",
    "young": "Young: fresh litters, pups that can leave",
    "planned": "Planned pairings whose day has come",
    "buyers": "Buyers: reservations that run out, pups that fit a wish",
    "records": "Records that say different things: tanks, pairings, litters",
    "other": "Everything else",
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
    rank: what harm comes of leaving it, one of HARM; 0 comes first. alarms: from midnight of its
    first day.
    buttons: those of every line; a line may have more of its own. days_ahead: how long before
    its day it stands on the front page. margin: how its day is said: "by" a day, "from" a day
    on, or "daily" from a day on. outdoors: what calendars say instead of the heading, which
    names a buyer: calendars are copied to phones and to the machines of whoever runs them.
    is_told_daily: worth a digest every morning. stands_for_today: a line for today has only the
    day of reckoning, which moves on by itself.
    """

    key: str
    heading: str
    group: str
    page: str
    urgency: Urgency = "soon"
    presses_after_days: int | None = None
    rank: int = LAST
    alarms: tuple[datetime.timedelta, ...] = ()
    buttons: tuple[Button, ...] = ()
    days_ahead: int = SOON_DAYS
    margin: Literal["by", "from", "daily"] = "by"
    outdoors: str = ""
    is_told_daily: bool = False
    stands_for_today: bool = False

    def urgency_on(self, today: datetime.date, *, due_on: datetime.date) -> Urgency:
        """How pressing a line for one day is on another."""
        if self.presses_after_days is None:
            return self.urgency
        return "now" if (today - due_on).days >= self.presses_after_days else self.urgency

    @property
    def category(self) -> str:
        """The key as words, for programs that sort events by it."""
        return " ".join(self.key.split("_"))


BIRTH = Button("She gave birth", "litters:new", query="?dam={female_id}")
LOST = Button("Not pregnant, lost", "pairings:outcome", "female_id")
THE_LITTER = Button("Open the litter", "litters:detail", "litter_id", for_everyone=True)

MOVE = Button("Move {who}", "housing:move", "animal_id")
WATER_TEST = Button("Write down a test", "housing:water_test", "tank_id")
LOOK = Button("Look at the marks", "pairings:log", query="?female={animal_id}&kind=healing_marks")

TABLE = (
    Kind(
        key="separate_now",
        heading=HEADINGS["separate_now"],
        group="separation",
        page="pairings:female",
        presses_after_days=0,
        rank=0,
        alarms=(MORNING,),
        is_told_daily=True,
    ),
    *(
        Kind(
            key=key,
            heading="look at the marks again",
            group="harm",
            page="animals:detail",
            presses_after_days=presses,
            rank=rank,
            alarms=(MORNING,),
            buttons=(LOOK,),
            days_ahead=0,
        )
        for key, presses, rank in (("look_again", 0, 1), ("look_again_light", None, 5))
    ),
    Kind(
        key="off_food",
        heading="off food: does it eat again?",
        group="harm",
        page="animals:detail",
        presses_after_days=0,
        rank=1,
        alarms=(MORNING,),
        buttons=(
            Button("Eats again", "pairings:log", query="?female={animal_id}&kind=eats_again"),
            Button("Still off food", "pairings:log", query="?female={animal_id}&kind=off_food"),
        ),
        days_ahead=0,
    ),
    *(
        Kind(
            key=key,
            heading=heading,
            group="water",
            page="housing:detail",
            urgency="now",
            rank=1,
            alarms=(MORNING,),
            buttons=(WATER_TEST,),
        )
        for key, heading in (
            ("water_unfit", "the water is not fit"),
            ("nitrite_in_quarantine", "nitrite in quarantine"),
        )
    ),
    *(
        Kind(
            key=key,
            heading="test the water",
            group="water",
            page="housing:detail",
            presses_after_days=presses,
            rank=rank,
            buttons=(WATER_TEST,),
            days_ahead=0,
        )
        for key, presses, rank in (("water_test_closely", 3, 5), ("water_test", None, 6))
    ),
    Kind(
        key="separate_bred",
        heading=HEADINGS["separate_bred"],
        group="separation",
        page="pairings:female",
        rank=3,
        alarms=(MORNING,),
        stands_for_today=True,
    ),
    Kind(
        key="separate_by",
        heading=HEADINGS["separate_by"],
        group="separation",
        page="pairings:female",
        presses_after_days=0,
        rank=3,
        alarms=(DAY_BEFORE - 2 * DAY, MORNING),
    ),
    Kind(
        key="nursery_by",
        heading=HEADINGS["nursery_by"],
        group="birth",
        page="pairings:female",
        presses_after_days=0,
        rank=4,
        alarms=(DAY_BEFORE - 6 * DAY, MORNING),
        buttons=(
            Button("Make it ready", "pairings:nursery", "female_id"),
            Button("The tanks", "housing:index"),
        ),
    ),
    Kind(
        key="watch_from",
        heading=HEADINGS["watch_from"],
        group="birth",
        page="pairings:female",
        rank=3,
        alarms=(DAY_BEFORE, MORNING),
        buttons=(BIRTH, Button("Log a sighting", "pairings:log", query="?female={female_id}")),
        days_ahead=3,  # a watch that has not begun is not work yet; it is named just before
        margin="daily",
    ),
    Kind(
        key="overdue",
        heading=HEADINGS["overdue"],
        group="birth",
        page="pairings:female",
        presses_after_days=0,
        rank=2,
        buttons=(BIRTH, LOST),
    ),
    Kind(
        key="long_without_birth",
        heading=HEADINGS["long_without_birth"],
        group="birth",
        page="pairings:female",
        rank=5,
        buttons=(BIRTH, LOST),
    ),
    Kind(
        key="settle",
        heading=HEADINGS["settle"],
        group="birth",
        page="pairings:female",
        rank=6,
        alarms=(MORNING,),
        buttons=(Button("Write down a scan", "pairings:scan", "female_id"),),
    ),
    Kind(
        key="perhaps_due",
        heading=HEADINGS["perhaps_due"],
        group="birth",
        page="pairings:female",
        rank=3,
        alarms=(DAY_BEFORE, MORNING),
        buttons=(Button("Write down a scan", "pairings:scan", "female_id"), BIRTH),
        margin="daily",
    ),
    Kind(
        key="due_window",
        heading="due, most evenly {most_evenly_on} (chance {chance})",
        group="birth",
        page="pairings:female",
        rank=4,
    ),
    Kind(
        key="pups_on_the_floor",
        heading="pups on the floor",
        group="young",
        page="litters:detail",
        urgency="now",
        rank=2,
        buttons=(THE_LITTER,),
    ),
    Kind(
        key="company_pups",
        heading="move out of {place}: newborn pups",
        group="company",
        page="animals:detail",
        urgency="now",
        rank=1,
        buttons=(MOVE,),
        is_told_daily=True,
    ),
    *(
        Kind(
            key=key,
            heading=heading,
            group="company",
            page="animals:detail",
            presses_after_days=0,
            rank=rank,
            buttons=(MOVE,),
        )
        for key, heading, rank in (
            ("company_birth", "move out of {place}: a female near birth", 2),
            ("company_wound", "move out of {place}: a wounded female", 2),
            ("company_rest", "move out of {place}: a female at rest", 3),
            ("company_quarantine", "keep apart in quarantine, out of {place}", 3),
            ("company_kin", "move out of {place}: kin that could breed", 3),
        )
    ),
    Kind(
        key="growing_kin",
        heading="part from kin in {place} before they can breed",
        group="company",
        page="animals:detail",
        presses_after_days=0,
        rank=3,
        alarms=(DAY_BEFORE - 13 * DAY, MORNING),
        buttons=(MOVE,),
        days_ahead=60,  # time to make a tank ready
    ),
    Kind(
        key="ready_to_leave",
        heading="decide who stays",
        group="young",
        page="litters:detail",
        urgency="later",
        buttons=(THE_LITTER,),
        stands_for_today=True,
    ),
    Kind(
        key="planned",
        heading="put together with {male}",
        group="planned",
        page="animals:detail",
        rank=7,
        buttons=(
            Button("Put them together", "pairings:new", query="?female={female_id}&male={male_id}"),
            Button("Give it up", WITHDRAW, "planned_id", withdraws="planned-pairing"),
        ),
        margin="from",
    ),
    Kind(
        key="reservation",
        heading="kept for {buyer}",
        group="buyers",
        page="animals:detail",
        presses_after_days=1,
        rank=8,
        alarms=(DAY_BEFORE,),
        buttons=(
            Button("Hand it over", "buyers:hand_over", "animal_id"),
            Button("Keep it longer", "buyers:reservation", "reservation_id"),
            Button("Let it go", WITHDRAW, "reservation_id", withdraws="reservation"),
            Button("Open the buyer", "buyers:detail", "contact_id"),
        ),
        days_ahead=7,
        outdoors="reservation ends",
    ),
    Kind(
        key="wish",
        heading="{fits} what {buyer} waits for",
        group="buyers",
        page="animals:detail",
        urgency="later",
        buttons=(
            Button("Keep {pup}", "buyers:reserve", "pup_id", "?contact={contact_id}"),
            Button("{open_words}", "buyers:detail", "contact_id"),
            Button("Off the list", WITHDRAW, "wish_id", withdraws="wish"),
        ),
        outdoors="somebody waits for one like this",
        stands_for_today=True,
    ),
    Kind(
        key="pairing_of_gone",
        heading="and {male} are together on record, but {gone}",
        group="records",
        page="pairings:detail",
        urgency="now",
        rank=4,
        buttons=(Button("They are apart", "pairings:separate", "pairing_id"),),
    ),
    Kind(
        key="reservation_of_gone",
        heading="kept for {buyer}, but {gone}",
        group="buyers",
        page="animals:detail",
        presses_after_days=0,
        rank=4,
        buttons=(
            Button("Let it go", WITHDRAW, "reservation_id", withdraws="reservation"),
            Button("Open the buyer", "buyers:detail", "contact_id"),
        ),
        outdoors="reserved, but gone",
    ),
    Kind(
        key="plan_of_gone",
        heading="planned with {male}, but {gone}",
        group="planned",
        page="animals:detail",
        buttons=(Button("Give it up", WITHDRAW, "planned_id", withdraws="planned-pairing"),),
    ),
    *(
        Kind(
            key=key,
            heading="and {males}: the records disagree",
            group="records",
            page="pairings:female",
            rank=6,
        )
        for key in ("company_apart", "company_ended", "company_unrecorded")
    ),
    *(
        Kind(key=key, heading=heading, group="records", page="pairings:female", rank=6)
        for key, heading in (
            ("company_unknown_sex", "is {males} male?"),
            ("sign_alone", "with whom was she?"),
            ("sign_elsewhere", "with {males}? The records say otherwise"),
            ("scan_unexplained", "pups seen, and no company that explains them"),
            ("not_pregnant_then_birth", "“not pregnant” just before a birth"),
        )
    ),
    Kind(
        key="pup_contradicts",
        heading="and {pup}: the records disagree",
        group="records",
        page="litters:detail",
        buttons=(
            Button("Correct the litter", "litters:detail", "litter_id"),
            Button("Correct {pup}", "animals:edit", "animal_id"),
            Button("Move it to another litter", "litters:move_pup", "pup_id"),
        ),
    ),
)
KINDS: Mapping[str, Kind] = {kind.key: kind for kind in TABLE}


def kind_of(key: str) -> Kind:
    """The row that a stored key names; one that a later release wrote is of the group "other".

    >>> kind_of("separate_now").group, kind_of("a_kind_of_tomorrow").group
    ('separation', 'other')
    """
    return KINDS.get(key) or Kind(key, heading="", group="other", page="")
