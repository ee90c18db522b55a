"""Lines about the floor of tanks: too small for those in it, or soon to be."""

from breeding.agenda.kinds.kind import Button, Kind
from breeding.words.language import message

OPEN = Button(message("Open {place}"), "housing:detail", "tank_id", "#room", for_everyone=True)

ROWS = (
    Kind(
        key="space_now",
        heading=message("too small for those in it"),
        several=message("too small for those in them"),
        group="space",
        page="housing:detail",
        rank=5,
        buttons=(OPEN,),
        days_ahead=0,
        margin="from",
        stands_for_today=True,
    ),
    Kind(
        key="space",
        heading=message("becomes too small for those in it"),
        several=message("become too small for those in them"),
        group="space",
        page="housing:detail",
        rank=5,
        buttons=(OPEN,),
        days_ahead=42,  # time to make another tank ready
    ),
)
