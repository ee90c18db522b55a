"""Lines about quarantine whose days are over, and about those that died."""

from breeding.agenda.kinds.kind import MORNING, Button, Kind

ROWS = (
    Kind(
        key="quarantine_over",
        heading="the days of quarantine are over: look at it, then end it",
        group="harm",
        page="animals:detail",
        rank=8,
        buttons=(
            Button("End the quarantine", "health:let_out", "animal_id"),
            Button("What ails it?", "health:observe", query="?animal={animal_id}"),
        ),
        days_ahead=0,
        margin="from",
    ),
    Kind(
        key="died_in_water",
        heading="{dead} died in this water: look at the others",
        group="harm",
        page="housing:detail",
        urgency="now",
        rank=1,
        alarms=(MORNING,),
        buttons=(
            Button("Write down a test", "housing:water_test", "tank_id"),
            Button("What ails one of them?", "health:observe", query="?tank={tank_id}"),
        ),
        days_ahead=0,
    ),
    Kind(
        key="how_it_died",
        heading="how did it die?",
        group="records",
        page="animals:detail",
        rank=7,
        buttons=(Button("Write it down", "health:death", "animal_id"),),
        days_ahead=0,
        margin="from",
    ),
)
