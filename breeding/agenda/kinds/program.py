"""Lines about plans, buyers, records that say different things, and backups."""

from breeding.agenda.kinds.kind import DAY_BEFORE, WITHDRAW, Button, Kind

ROWS = (
    Kind(
        key="planned",
        heading="put together with {male}",
        group="planned",
        page="animals:detail",
        rank=7,
        buttons=(
            Button("Put them together", "pairings:new", query="?female={female_id}&male={male_id}"),
            Button("Give it up", WITHDRAW, "planned_id", withdraws="planned-pairing"),
        ),
        margin="from",
    ),
    Kind(
        key="reservation",
        heading="kept for {buyer}",
        group="buyers",
        page="animals:detail",
        presses_after_days=1,
        rank=8,
        alarms=(DAY_BEFORE,),
        buttons=(
            Button("Hand it over", "buyers:hand_over", "animal_id"),
            Button("Keep it longer", "buyers:reservation", "reservation_id"),
            Button("Let it go", WITHDRAW, "reservation_id", withdraws="reservation"),
            Button("Open the buyer", "buyers:detail", "contact_id"),
        ),
        days_ahead=7,
        outdoors="reservation ends",
    ),
    Kind(
        key="wish",
        heading="{fits} what {buyer} waits for",
        group="buyers",
        page="animals:detail",
        urgency="later",
        buttons=(
            Button("Keep {pup}", "buyers:reserve", "pup_id", "?contact={contact_id}"),
            Button("{open_words}", "buyers:detail", "contact_id"),
            Button("Off the list", WITHDRAW, "wish_id", withdraws="wish"),
        ),
        outdoors="somebody waits for one like this",
        stands_for_today=True,
    ),
    Kind(
        key="pairing_of_gone",
        heading="and {male} are together on record, but {gone}",
        group="records",
        page="pairings:detail",
        urgency="now",
        rank=4,
        buttons=(Button("They are apart", "pairings:separate", "pairing_id"),),
    ),
    Kind(
        key="reservation_of_gone",
        heading="kept for {buyer}, but {gone}",
        group="buyers",
        page="animals:detail",
        presses_after_days=0,
        rank=4,
        buttons=(
            Button("Let it go", WITHDRAW, "reservation_id", withdraws="reservation"),
            Button("Open the buyer", "buyers:detail", "contact_id"),
        ),
        outdoors="reserved, but gone",
    ),
    Kind(
        key="plan_of_gone",
        heading="planned with {male}, but {gone}",
        group="planned",
        page="animals:detail",
        buttons=(Button("Give it up", WITHDRAW, "planned_id", withdraws="planned-pairing"),),
    ),
    *(
        Kind(
            key=key,
            heading="and {males}: the records disagree",
            group="records",
            page="pairings:female",
            rank=6,
        )
        for key in ("company_apart", "company_ended", "company_unrecorded")
    ),
    *(
        Kind(key=key, heading=heading, group="records", page="pairings:female", rank=6)
        for key, heading in (
            ("company_unknown_sex", "is {males} male?"),
            ("sign_alone", "with whom was she?"),
            ("sign_elsewhere", "with {males}? The records say otherwise"),
            ("scan_unexplained", "pups seen, and no company that explains them"),
            ("not_pregnant_then_birth", "“not pregnant” just before a birth"),
        )
    ),
    Kind(
        key="pup_contradicts",
        heading="and {pup}: the records disagree",
        group="records",
        page="litters:detail",
        buttons=(
            Button("Correct the litter", "litters:detail", "litter_id"),
            Button("Correct {pup}", "animals:edit", "animal_id"),
            Button("Move it to another litter", "litters:move_pup", "pup_id"),
        ),
    ),
    Kind(
        key="backup_old",
        heading="see that one is taken",
        group="other",
        page="program:backups",
        urgency="now",
        rank=6,
        buttons=(Button("Open the backups", "program:backups"),),
        days_ahead=0,
        for_owners=True,
    ),
)
