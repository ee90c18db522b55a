"""Lines about loans that end, and about females that are said to be pregnant."""

from breeding.agenda.kinds.kind import DAY_BEFORE, Button, Kind
from breeding.words.language import message

ROWS = (
    Kind(
        key="loan_due_back",
        heading=message("due back from {buyer}"),
        group="buyers",
        page="animals:detail",
        presses_after_days=1,
        rank=8,
        alarms=(DAY_BEFORE,),
        buttons=(
            Button(message("It is back"), "arrivals:back", "loan_id"),
            Button(
                message("Change the loan"), "program:change", "loan_id", withdraws="loan-agreement"
            ),
        ),
        days_ahead=7,
        outdoors=message("a loan ends"),
    ),
    Kind(
        key="loan_due_out",
        heading=message("goes back to {buyer}"),
        several=message("go back to those they are from"),
        group="buyers",
        page="animals:detail",
        presses_after_days=1,
        rank=8,
        alarms=(DAY_BEFORE,),
        buttons=(
            Button(message("Give it back"), "arrivals:back", "loan_id"),
            Button(
                message("Change the loan"), "program:change", "loan_id", withdraws="loan-agreement"
            ),
        ),
        days_ahead=7,
        outdoors=message("a loan ends"),
    ),
)
