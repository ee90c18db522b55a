"""A program keeps an owner, also where what was done to somebody's role is undone."""

from typing import Any

from django.db import models
from django.dispatch import receiver

from breeding.program.access import sessions
from breeding.program.acts.undoing import put_back
from breeding.program.models import Person
from breeding.program.services import check_another_owner


@receiver(put_back, dispatch_uid="an owner")
def _as_when_changed(rows: list[models.Model], **_: Any) -> None:
    """What holds for a change of somebody holds for its undoing."""
    for person in (one for one in rows if isinstance(one, Person)):
        is_open = person.pk is not None and person.is_active
        if not (is_open and person.is_owner):
            check_another_owner(person)
        if person.pk is not None and not is_open:
            sessions.end_all(person)
