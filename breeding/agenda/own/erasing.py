"""What becomes of reminders about a contact whose data are erased."""

import datetime
from typing import Any

from django.db.models import QuerySet

from breeding.buyers.erasing import ERASED
from breeding.program.models import Person


def empty_reminders(rows: QuerySet[Any], by: Person, now: datetime.datetime) -> None:
    """Nothing that was written of them stays, and nobody is asked of them any more."""
    rows.update(text=ERASED)
    rows.filter(withdrawn_at__isnull=True).update(
        withdrawn_at=now, withdrawn_by=by, withdrawn_reason=ERASED
    )
