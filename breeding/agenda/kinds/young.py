"""Lines about young: a birth under way, first food, weighing a litter."""

from breeding.agenda.kinds.kind import MORNING, Button, Kind

THE_LITTER = Button("Open the litter", "litters:detail", "litter_id", for_everyone=True)

ROWS = (
    Kind(
        key="birth_under_way",
        heading="go on with the birth",
        group="birth",
        page="litters:detail",
        urgency="now",
        rank=2,
        buttons=(Button("The next pup, or that was all", "litters:birth", "female_id"),),
    ),
    Kind(
        key="first_food",
        heading="offer first food: look at the yolk",
        group="young",
        page="litters:detail",
        presses_after_days=7,
        rank=2,
        alarms=(MORNING,),
        buttons=(THE_LITTER,),
        margin="from",
    ),
    Kind(
        key="weigh_young",
        heading="weigh the litter",
        group="young",
        page="litters:detail",
        rank=5,
        buttons=(Button("Weigh them", "litters:weigh", "litter_id"),),
        days_ahead=0,
    ),
)
