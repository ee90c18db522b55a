"""What undoing an act must not bring back: two records of which only one can be true."""

from typing import Any

from django.db import models

from breeding.pairings.care.services import check_not_ticked_anew
from breeding.pairings.mending.corrections import check_not_closed_since, check_pairing_stands_alone
from breeding.pairings.models import NurseryTick, Outcome, Pairing
from breeding.program.acts.undoing import rows_of
from breeding.program.models import Act


def refuse_contradictions(sender: type[Act], rows: list[models.Model], act: Act, **_: Any) -> None:
    """Raise ValidationError, naming what stands in the way, after an undo that contradicts it.

    A pairing whose time another of the two shares; an end of a season that was closed otherwise
    since; a tick that was made anew.
    """
    asked = (one for one in rows if isinstance(one, Pairing | Outcome | NurseryTick))
    counting = [one for one in asked if not one.is_withdrawn]
    for pairing in counting:
        if isinstance(pairing, Pairing):
            check_pairing_stands_alone(pairing)
    ends = [one for one in counting if isinstance(one, Outcome | NurseryTick)]
    back = _brought_back(act) if ends else set()
    for record in ends:
        if (type(record), record.pk) in back:
            if isinstance(record, Outcome):
                check_not_closed_since(record, act.at)
            else:
                check_not_ticked_anew(record)


def _brought_back(act: Act) -> set[tuple[type[models.Model], Any]]:
    """The records that the act had withdrawn."""
    return {
        (row.model, row.pk)
        for row in rows_of(act)
        if row.after.get("withdrawn_at") is not None and row.before["withdrawn_at"] is None
    }
