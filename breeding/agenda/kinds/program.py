"""Lines about plans, buyers, records that say different things, and backups."""

from breeding.agenda.kinds.kind import DAY_BEFORE, WITHDRAW, Button, Kind
from breeding.words.language import message

ROWS = (
    Kind(
        key="planned",
        heading=message("put together with {male}"),
        several=message("put together as planned"),
        group="planned",
        page="animals:detail",
        rank=7,
        buttons=(
            Button(
                message("Put them together"),
                "pairings:new",
                query="?female={female_id}&male={male_id}",
            ),
            Button(message("Give it up"), WITHDRAW, "planned_id", withdraws="planned-pairing"),
        ),
        margin="from",
    ),
    Kind(
        key="reservation",
        heading=message("reserved for {buyer}"),
        several=message("reserved for buyers until these days"),
        group="buyers",
        page="animals:detail",
        presses_after_days=1,
        rank=8,
        alarms=(DAY_BEFORE,),
        buttons=(
            Button(message("Hand it over"), "buyers:hand_over", "animal_id"),
            Button(message("Reserve it longer"), "buyers:reservation", "reservation_id"),
            Button(message("Let it go"), WITHDRAW, "reservation_id", withdraws="reservation"),
            Button(message("Open the buyer"), "buyers:detail", "contact_id"),
        ),
        days_ahead=7,
        outdoors=message("reservation ends"),
    ),
    Kind(
        key="wish",
        heading=message("{fits} what {buyer} waits for"),
        several=message("fit what buyers wait for"),
        group="buyers",
        page="animals:detail",
        urgency="later",
        buttons=(
            Button(message("Reserve {pup}"), "buyers:reserve", "pup_id", "?contact={contact_id}"),
            Button("{open_words}", "buyers:detail", "contact_id"),
            Button(message("Remove this wish"), WITHDRAW, "wish_id", withdraws="wish"),
        ),
        outdoors=message("somebody waits for one like this"),
        stands_for_today=True,
    ),
    Kind(
        key="pairing_of_gone",
        heading=message("and {male} are together on record, but {gone}"),
        group="records",
        page="pairings:detail",
        urgency="now",
        rank=4,
        buttons=(Button(message("Save the separation"), "pairings:separate", "pairing_id"),),
    ),
    Kind(
        key="reservation_of_gone",
        heading=message("reserved for {buyer}, but {gone}"),
        group="buyers",
        page="animals:detail",
        presses_after_days=0,
        rank=4,
        buttons=(
            Button(message("Let it go"), WITHDRAW, "reservation_id", withdraws="reservation"),
            Button(message("Open the buyer"), "buyers:detail", "contact_id"),
        ),
        outdoors=message("reserved, but gone"),
    ),
    Kind(
        key="plan_of_gone",
        heading=message("planned with {male}, but {gone}"),
        group="planned",
        page="animals:detail",
        buttons=(
            Button(message("Give it up"), WITHDRAW, "planned_id", withdraws="planned-pairing"),
        ),
    ),
    *(
        Kind(
            key=key,
            heading=message("and {males}: the records disagree"),
            several=message("the records of their company disagree"),
            group="records",
            page="pairings:female",
            rank=6,
        )
        for key in ("company_apart", "company_ended")
    ),
    Kind(
        key="company_unrecorded",
        heading=message("and {males} together: no pairing on record"),
        several=message("share water with a male: no pairing on record"),
        group="records",
        page="pairings:female",
        rank=6,
    ),
    *(
        Kind(key=key, heading=heading, group="records", page="pairings:female", rank=6)
        for key, heading in (
            ("company_unknown_sex", message("is {males} male?")),
            ("sign_alone", message("with whom was she?")),
            ("sign_elsewhere", message("with {males}? The records say otherwise")),
            ("scan_unexplained", message("pups seen, and no company that explains them")),
            ("said_pregnant", message("said to be pregnant when she came")),
            ("not_pregnant_then_birth", message("“not pregnant” just before a birth")),
        )
    ),
    Kind(
        key="pup_contradicts",
        heading=message("and {pup}: the records disagree"),
        group="records",
        page="litters:detail",
        buttons=(
            Button(message("Correct the litter"), "litters:detail", "litter_id"),
            Button(message("Correct {pup}"), "animals:edit", "animal_id"),
            Button(message("Move it to another litter"), "litters:move_pup", "pup_id"),
        ),
    ),
    Kind(
        key="looks_like",
        heading=message("on a picture looks like {other}"),
        several=message("look like others on their pictures"),
        group="records",
        page="identity:compare",
        rank=6,
        buttons=(
            Button(message("Compare the spots"), "identity:compare", "pattern_id"),
            Button(
                message("They are one animal"),
                "exchange:said_one",
                query="?kept={one_id}&gone={other_id}",
            ),
        ),
    ),
    Kind(
        key="in_no_tank",
        heading=message("are in no tank: place them"),
        group="records",
        page="animals:detail",
        rank=6,
        buttons=(Button(message("Place them as a table"), "records:place"),),
        margin="from",
        stands_for_today=True,
    ),
    Kind(
        key="backup_old",
        heading=message("see that one is taken"),
        group="other",
        page="program:backups",
        urgency="now",
        rank=6,
        buttons=(Button(message("Open the backups"), "program:backups"),),
        days_ahead=0,
        for_owners=True,
    ),
)
