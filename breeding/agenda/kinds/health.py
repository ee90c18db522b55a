"""Lines about whoever is not well, treatments and holds that end, and visits to follow."""

from breeding.agenda.kinds.kind import DAY_BEFORE, MORNING, Button, Kind
from breeding.words.language import message

TREAT = Button(message("A treatment"), "health:treat", query="?animal={animal_id}")
OPEN_IT = Button(
    message("Open the treatment"), "health:treatment", "treatment_id", for_everyone=True
)

ROWS = (
    Kind(
        key="unwell",
        heading=message("not well: {what}"),
        several=message("not well"),
        group="harm",
        page="animals:detail",
        presses_after_days=0,
        rank=1,
        alarms=(MORNING,),
        buttons=(Button(message("It is over"), "health:over", "observation_id"), TREAT),
        days_ahead=0,
    ),
    Kind(
        key="treatment_ends",
        heading=message("last day of {remedy}"),
        several=message("last day of a treatment"),
        group="harm",
        page="health:treatment",
        presses_after_days=0,
        rank=5,
        alarms=(MORNING,),
        buttons=(OPEN_IT,),
        days_ahead=3,
    ),
    Kind(
        key="hold_ends",
        heading=message("no longer held after {remedy}"),
        several=message("no longer held after a treatment"),
        group="harm",
        page="health:treatment",
        rank=7,
        buttons=(OPEN_IT,),
        days_ahead=0,
        margin="from",
    ),
    *(
        Kind(
            key=key,
            heading=message("to be looked at again"),
            group="harm",
            page=page,
            presses_after_days=0,
            rank=5,
            alarms=(DAY_BEFORE, MORNING),
            buttons=(
                Button(message("Write down the visit"), "health:visit", query="{visit_query}"),
            ),
        )
        for key, page in (
            ("visit_again", "animals:detail"),
            ("visit_again_tank", "housing:detail"),
        )
    ),
)
