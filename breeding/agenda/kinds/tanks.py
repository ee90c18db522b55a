"""Lines about who is with whom, wounds, and water."""

from breeding.agenda.kinds.kind import DAY, DAY_BEFORE, MORNING, Button, Kind

MOVE = Button("Move {who}", "housing:move", "animal_id")
WATER_TEST = Button("Write down a test", "housing:water_test", "tank_id")
CHANGE_WATER = Button("Change water", "housing:change", "tank_id")
LOOK = Button("Look at the marks", "pairings:log", query="?female={animal_id}&kind=healing_marks")

ROWS = (
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
    *(
        Kind(
            key=key,
            heading=heading,
            group="water",
            page="housing:detail",
            urgency="now",
            rank=1,
            alarms=(MORNING,),
            buttons=(WATER_TEST, CHANGE_WATER),
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
)
