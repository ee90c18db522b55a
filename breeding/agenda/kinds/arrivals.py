"""Lines about loans that end, and about females that are said to be pregnant."""

from breeding.agenda.kinds.kind import DAY_BEFORE, Button, Kind

ROWS = (
    Kind(
        key="loan_due_back",
        heading="due back from {buyer}",
        group="buyers",
        page="animals:detail",
        presses_after_days=1,
        rank=8,
        alarms=(DAY_BEFORE,),
        buttons=(
            Button("It is back", "arrivals:back", "loan_id"),
            Button("Change the loan", "program:change", "loan_id", withdraws="loan-agreement"),
        ),
        days_ahead=7,
        outdoors="a loan ends",
    ),
    Kind(
        key="loan_due_out",
        heading="goes back to {buyer}",
        group="buyers",
        page="animals:detail",
        presses_after_days=1,
        rank=8,
        alarms=(DAY_BEFORE,),
        buttons=(
            Button("Give it back", "arrivals:back", "loan_id"),
            Button("Change the loan", "program:change", "loan_id", withdraws="loan-agreement"),
        ),
        days_ahead=7,
        outdoors="a loan ends",
    ),
)
