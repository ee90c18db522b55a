"""Lines about young: a birth under way, first food, weighing a litter."""

from breeding.agenda.kinds.kind import MORNING, Button, Kind
from breeding.words.language import message

THE_LITTER = Button(message("Open the litter"), "litters:detail", "litter_id", for_everyone=True)

ROWS = (
    Kind(
        key="birth_under_way",
        heading=message("go on with the birth"),
        group="birth",
        page="litters:detail",
        urgency="now",
        rank=2,
        buttons=(Button(message("The next pup, or that was all"), "litters:birth", "female_id"),),
    ),
    Kind(
        key="first_food",
        heading=message("offer first food: look at the yolk"),
        group="young",
        page="litters:detail",
        presses_after_days=7,
        rank=2,
        alarms=(MORNING,),
        buttons=(Button(message("Feed them"), "litters:feed", "litter_id"), THE_LITTER),
        margin="from",
    ),
    Kind(
        key="weigh_young",
        heading=message("weigh the litter"),
        group="young",
        page="litters:detail",
        rank=5,
        buttons=(Button(message("Weigh them"), "litters:weigh", "litter_id"),),
        days_ahead=0,
    ),
)
