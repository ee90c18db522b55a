"""What rooms above ask with a hand-over or a reservation, and write down with it."""

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

from django import forms

from breeding.animals.models import Animal
from breeding.buyers.models import Contact
from breeding.program.models import Person


class Writing(Protocol):
    """Writes what was answered; raises ValidationError at its field."""

    def __call__(
        self,
        animal: Animal,
        contact: Contact,
        facts: dict[str, Any],
        *,
        by: Person | None,
        now: datetime.datetime,
    ) -> None: ...


@dataclass(frozen=True)
class AskedWith:
    """The fields of one animal's form, and what becomes of them."""

    fields: Callable[[Animal], dict[str, forms.Field]]
    write: Writing


_asked: dict[str, AskedWith] = {}


def add_asked_with(
    name: str, fields: Callable[[Animal], dict[str, forms.Field]], write: Writing
) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _asked[name] = AskedWith(fields, write)


def fields_with(animal: Animal) -> dict[str, forms.Field]:
    return {key: one for asked in _asked.values() for key, one in asked.fields(animal).items()}


def write_with(
    animal: Animal,
    contact: Contact,
    facts: dict[str, Any],
    *,
    by: Person | None,
    now: datetime.datetime,
) -> None:
    """In the transaction of the act that it is asked with."""
    for asked in _asked.values():
        asked.write(animal, contact, facts, by=by, now=now)


class AsksMore(forms.Form):
    """A form on one animal, with what rooms above ask with it."""

    def __init__(self, *args: Any, animal: Animal | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        further = fields_with(animal) if animal is not None else {}
        self.fields |= further
        self._further = tuple(further)

    def further(self) -> list[forms.BoundField]:
        return [self[name] for name in self._further]

    def parted(self) -> tuple[dict[str, Any], dict[str, Any]]:
        """What the act of this room takes, and what the rooms above do."""
        own = {key: one for key, one in self.cleaned_data.items() if key not in self._further}
        return own, {key: self.cleaned_data[key] for key in self._further}
