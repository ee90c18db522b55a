"""Lines about quarantine whose days are over, and about those that died."""

from breeding.agenda.kinds.kind import MORNING, Button, Kind
from breeding.words.language import message

ROWS = (
    Kind(
        key="quarantine_over",
        heading=message("the days of quarantine are over: look at it, then end the quarantine"),
        several=message("the days of quarantine are over: look at them, then end the quarantine"),
        group="harm",
        page="animals:detail",
        rank=8,
        buttons=(
            Button(message("End the quarantine"), "health:let_out", "animal_id"),
            Button(message("What ails it?"), "health:observe", query="?animal={animal_id}"),
        ),
        days_ahead=0,
        margin="from",
    ),
    Kind(
        key="died_in_water",
        heading=message("{dead} died in this water: look at the others"),
        several=message("some died in this water: look at the others"),
        group="harm",
        page="housing:detail",
        urgency="now",
        rank=1,
        alarms=(MORNING,),
        buttons=(
            Button(message("Write down a test"), "housing:water_test", "tank_id"),
            Button(message("What ails one of them?"), "health:observe", query="?tank={tank_id}"),
        ),
        days_ahead=0,
    ),
    Kind(
        key="how_it_died",
        heading=message("how did it die?"),
        several=message("how did they die?"),
        group="records",
        page="animals:detail",
        rank=7,
        buttons=(Button(message("Write it down"), "health:death", "animal_id"),),
        days_ahead=0,
        margin="from",
    ),
)
