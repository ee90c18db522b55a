"""Lines about food: who refuses it, who was not seen to eat, and what it may mean of a birth."""

from breeding.agenda.kinds.females import BIRTH
from breeding.agenda.kinds.kind import MORNING, Button, Kind
from breeding.words.language import message

FEED = Button(message("Feed it"), "feeding:some_animals", query="?animal={animal_id}")
OFF_FOOD = Button(message("Off food"), "pairings:log", query="?female={animal_id}&kind=off_food")
STILL_OFF = Button(
    message("Still off food"), "pairings:log", query="?female={animal_id}&kind=off_food"
)

ROWS = (
    Kind(
        key="off_food",
        heading=message("off food: does it eat again?"),
        several=message("off food: do they eat again?"),
        group="harm",
        page="animals:detail",
        presses_after_days=0,
        rank=1,
        alarms=(MORNING,),
        buttons=(
            Button(
                message("Eats again"), "pairings:log", query="?female={animal_id}&kind=eats_again"
            ),
            STILL_OFF,
            FEED,
        ),
        days_ahead=0,
    ),
    Kind(
        key="leaves_food",
        heading=message("left food again and again"),
        group="harm",
        page="animals:detail",
        rank=5,
        buttons=(FEED, OFF_FOOD),
        days_ahead=0,
    ),
    Kind(
        key="refuses_near_birth",
        heading=message("refused food: a birth may be near"),
        group="birth",
        page="pairings:female",
        urgency="now",
        rank=3,
        buttons=(
            BIRTH,
            Button(message("Log a sighting"), "pairings:log", query="?female={female_id}"),
        ),
        days_ahead=0,
    ),
    Kind(
        key="not_eaten",
        heading=message("not seen to eat {for_days}"),
        several=message("not seen to eat for days"),
        group="harm",
        page="animals:detail",
        rank=5,
        buttons=(FEED, OFF_FOOD),
        days_ahead=0,
    ),
)
