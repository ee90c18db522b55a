"""Lines about who is with whom, wounds, and water."""

from breeding.agenda.kinds.kind import DAY, DAY_BEFORE, MORNING, Button, Kind
from breeding.words.language import message

MOVE = Button(message("Move {who}"), "housing:move", "animal_id")
WATER_TEST = Button(message("Write down a test"), "housing:water_test", "tank_id")
CHANGE_WATER = Button(message("Change water"), "housing:change", "tank_id")
LOOK = Button(
    message("Look at the marks"), "pairings:log", query="?female={animal_id}&kind=healing_marks"
)

ROWS = (
    *(
        Kind(
            key=key,
            heading=message("look at the marks again"),
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
            rank=rank,
            alarms=(MORNING,),
            buttons=buttons,
        )
        for key, heading, rank, buttons in (
            ("water_harms", message("harmful water"), 0, (CHANGE_WATER, WATER_TEST)),
            ("water_unfit", message("the water is not fit"), 1, (WATER_TEST, CHANGE_WATER)),
            (
                "nitrite_in_quarantine",
                message("nitrite in quarantine"),
                1,
                (WATER_TEST, CHANGE_WATER),
            ),
        )
    ),
    *(
        Kind(
            key=key,
            heading=message("test the water"),
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
        heading=message("move out of {place}: newborn pups"),
        several=message("move them out: newborn pups"),
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
            several=several,
        )
        for key, heading, several, rank in (
            (
                "company_birth",
                message("move out of {place}: a female near birth"),
                message("move them out: females near birth"),
                2,
            ),
            (
                "company_wound",
                message("move out of {place}: a wounded female"),
                message("move them out: wounded females"),
                2,
            ),
            (
                "company_rest",
                message("move out of {place}: a female at rest"),
                message("move them out: females at rest"),
                3,
            ),
            (
                "company_quarantine",
                message("keep apart in quarantine, out of {place}"),
                message("keep apart in quarantine"),
                3,
            ),
            (
                "company_kin",
                message("move out of {place}: kin that could breed"),
                message("move them out: kin that could breed"),
                3,
            ),
        )
    ),
    Kind(
        key="growing_kin",
        heading=message("part from kin in {place} before they can breed"),
        several=message("part from kin before they can breed"),
        group="company",
        page="animals:detail",
        presses_after_days=0,
        rank=3,
        alarms=(DAY_BEFORE - 13 * DAY, MORNING),
        buttons=(MOVE,),
        days_ahead=60,  # time to make a tank ready
    ),
)
