"""Lines about food: who refuses it, who was not seen to eat, and what it may mean of a birth."""

from breeding.agenda.kinds.females import BIRTH
from breeding.agenda.kinds.kind import MORNING, Button, Kind

FEED = Button("Feed it", "feeding:some_animals", query="?animal={animal_id}")
STILL_OFF = Button("Still off food", "pairings:log", query="?female={animal_id}&kind=off_food")

ROWS = (
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
            STILL_OFF,
            FEED,
        ),
        days_ahead=0,
    ),
    Kind(
        key="refuses_near_birth",
        heading="refused food: a birth may be near",
        group="birth",
        page="pairings:female",
        urgency="now",
        rank=3,
        buttons=(BIRTH, Button("Log a sighting", "pairings:log", query="?female={female_id}")),
        days_ahead=0,
    ),
    Kind(
        key="not_eaten",
        heading="not seen to eat for {for_days}",
        group="harm",
        page="animals:detail",
        rank=5,
        buttons=(
            FEED,
            Button("Off food", "pairings:log", query="?female={animal_id}&kind=off_food"),
        ),
        days_ahead=0,
    ),
)
