"""Lines about whoever is not well, treatments and holds that end, and visits to follow."""

from breeding.agenda.kinds.kind import DAY_BEFORE, MORNING, Button, Kind

TREAT = Button("A treatment", "health:treat", query="?animal={animal_id}")
OPEN_IT = Button("Open the treatment", "health:treatment", "treatment_id", for_everyone=True)

ROWS = (
    Kind(
        key="unwell",
        heading="not well: {what}",
        group="harm",
        page="animals:detail",
        presses_after_days=0,
        rank=1,
        alarms=(MORNING,),
        buttons=(Button("It is over", "health:over", "observation_id"), TREAT),
        days_ahead=0,
    ),
    Kind(
        key="treatment_ends",
        heading="last day of {remedy}",
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
        heading="no longer held after {remedy}",
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
            heading="to be looked at again",
            group="harm",
            page=page,
            presses_after_days=0,
            rank=5,
            alarms=(DAY_BEFORE, MORNING),
            buttons=(Button("Write down the visit", "health:visit", query="{visit_query}"),),
        )
        for key, page in (
            ("visit_again", "animals:detail"),
            ("visit_again_tank", "housing:detail"),
        )
    ),
)
