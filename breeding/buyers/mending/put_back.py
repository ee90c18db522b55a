"""What follows when a hand-over is undone: what was kept for the buyer can be handed over again."""

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.dispatch import receiver

from breeding.buyers.models import HandOver
from breeding.program.acts.undoing import put_back


@receiver(put_back, dispatch_uid="buyers")
def let_reservations_go(rows: Iterable[models.Model], **_: Any) -> None:
    """A hand-over that counts no more holds no reservation, as when it is withdrawn."""
    for row in rows:
        if isinstance(row, HandOver) and row.is_withdrawn and row.reservation_id is not None:
            row.reservation = None
            row.save(update_fields=["reservation"])
