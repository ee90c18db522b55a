"""What follows when acts on arrivals are undone: who came together is read anew."""

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.dispatch import receiver

from breeding.animals import revisions
from breeding.arrivals.models import Arrival
from breeding.program.acts.undoing import put_back


@receiver(put_back, dispatch_uid="arrivals")
def read_anew(rows: Iterable[models.Model], **_: Any) -> None:
    """The lineage keeps which founders came together."""
    if any(isinstance(row, Arrival) for row in rows):
        revisions.parentage_changed()
