"""Lines of reminders that somebody set: alone, or about an animal, a tank, a contact."""

from breeding.agenda.kinds.kind import MORNING, WITHDRAW, Button, Kind
from breeding.words.language import message

NOT_NEEDED = Button(message("Not needed any more"), WITHDRAW, "reminder_id", withdraws="reminder")
# The kind of a reminder by what it is about.
KIND_OF = {
    "": "reminder",
    "animal": "reminder_of_animal",
    "tank": "reminder_of_tank",
    "contact": "reminder_of_contact",
}
LATE_RANK = 8  # somebody waits

ROWS = (
    *(
        Kind(
            key=KIND_OF[about],
            heading="{text}",
            group="own",
            page=page,
            presses_after_days=0,
            late_rank=LATE_RANK,
            alarms=(MORNING,),
            buttons=(NOT_NEEDED,),
            days_ahead=0,
            is_done_at_once=True,
        )
        for about, page in (
            ("", "agenda:own"),
            ("animal", "animals:detail"),
            ("tank", "housing:detail"),
        )
    ),
    Kind(
        key=KIND_OF["contact"],
        heading="{buyer}: {text}",
        group="buyers",
        page="buyers:detail",
        presses_after_days=0,
        late_rank=LATE_RANK,
        alarms=(MORNING,),
        buttons=(NOT_NEEDED,),
        days_ahead=0,
        outdoors=message("about a contact"),
        is_done_at_once=True,
    ),
)
