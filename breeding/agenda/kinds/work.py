"""Lines about what is due in a tank by its own rhythm."""

from breeding.agenda.kinds.kind import Kind
from breeding.words.language import message

ROWS = tuple(
    Kind(
        key=key,
        heading=message("{what} due"),
        several=message("care is due"),
        group="water",
        page="housing:detail",
        presses_after_days=presses,
        rank=rank,
        days_ahead=0,
    )
    for key, presses, rank in (("tank_due_closely", 3, 5), ("tank_due", None, 6))
)
