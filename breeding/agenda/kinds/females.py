"""Lines about a female and her young: separating, birth, pups."""

from breeding.agenda.kinds.kind import DAY, DAY_BEFORE, MORNING, Button, Kind
from breeding.gestation.actions import HEADINGS
from breeding.words.language import message

BIRTH = Button(message("She has pups"), "litters:birth", "female_id")
LOST = Button(message("Not pregnant, lost"), "pairings:outcome", "female_id")
THE_LITTER = Button(message("Open the litter"), "litters:detail", "litter_id", for_everyone=True)

ROWS = (
    Kind(
        key="separate_now",
        heading=HEADINGS["separate_now"],
        several=message("separate from their males now"),
        group="separation",
        page="pairings:female",
        presses_after_days=0,
        rank=0,
        alarms=(MORNING,),
        is_told_daily=True,
    ),
    Kind(
        key="separate_bred",
        heading=HEADINGS["separate_bred"],
        several=message("separate from their males, they are bred"),
        group="separation",
        page="pairings:female",
        rank=3,
        alarms=(MORNING,),
        stands_for_today=True,
    ),
    Kind(
        key="separate_by",
        heading=HEADINGS["separate_by"],
        several=message("separate from their males at the latest"),
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
            Button(message("Make it ready"), "pairings:nursery", "female_id"),
            Button(message("The tanks"), "housing:index"),
        ),
    ),
    Kind(
        key="watch_from",
        heading=HEADINGS["watch_from"],
        group="birth",
        page="pairings:female",
        rank=3,
        alarms=(DAY_BEFORE, MORNING),
        buttons=(
            BIRTH,
            Button(message("Log a sighting"), "pairings:log", query="?female={female_id}"),
        ),
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
        buttons=(Button(message("Write down a scan"), "pairings:scan", "female_id"),),
    ),
    Kind(
        key="perhaps_due",
        heading=HEADINGS["perhaps_due"],
        group="birth",
        page="pairings:female",
        rank=3,
        alarms=(DAY_BEFORE, MORNING),
        buttons=(Button(message("Write down a scan"), "pairings:scan", "female_id"), BIRTH),
        margin="daily",
    ),
    Kind(
        key="due_window",
        heading=message("due, middle date {middle_date} (chance {chance})"),
        group="birth",
        page="pairings:female",
        rank=4,
    ),
    Kind(
        key="pups_on_the_floor",
        heading=message("pups on the floor"),
        group="young",
        page="litters:detail",
        urgency="now",
        rank=2,
    ),
    Kind(
        key="lagging",
        heading=message("grows too slowly"),
        several=message("grow too slowly"),
        group="young",
        page="animals:detail",
        rank=5,
        buttons=(Button(message("Measure again"), "animals:measure", "animal_id"),),
    ),
    Kind(
        key="ready_to_leave",
        heading=message("decide who stays"),
        group="young",
        page="litters:detail",
        urgency="later",
        buttons=(
            Button(
                message("Hold back or let go"), "planning:litter", "litter_id", for_everyone=True
            ),
            THE_LITTER,
        ),
        stands_for_today=True,
    ),
)
