"""What a sheet carries besides what it says: its ancestry as data, which a room above writes."""

import datetime
from collections.abc import Callable
from typing import Any

from breeding.animals.models import Animal

Write = Callable[..., dict[str, Any]]
_writers: list[Write] = []


def add_carried(write: Write) -> None:
    """Called once by the room that writes it, in its AppConfig.ready."""
    _writers.append(write)


def carried(animal: Animal, *, public_key: str, on: datetime.date) -> dict[str, Any]:
    """The ancestry of an animal as data, in texts, whole numbers, lists and groups of these."""
    return _writers[0](animal, public_key=public_key, on=on) if _writers else {}
