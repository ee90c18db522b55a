"""What becomes of arrivals and loans of a contact whose data are erased: the texts go."""

import datetime
from typing import Any

from django.db.models import QuerySet

from breeding.program.models import Person


def empty_arrivals(rows: QuerySet[Any], by: Person, now: datetime.datetime) -> None:
    """When the animal came, and for how much, stays."""
    rows.update(note="", papers="")


def empty_agreements(rows: QuerySet[Any], by: Person, now: datetime.datetime) -> None:
    """When it was lent, and how many young are owed, stays."""
    rows.update(terms="")
