"""What pages say of many animals at once (name, sex, birth, origin, parents), read once a page."""

from collections.abc import Iterable
from typing import Any

from breeding.animals.models import Animal
from breeding.program.frame.memory import remembered_while_reading

FIELDS = (
    *("pk", "code", "call_name", "sex", "born_on", "born_precision", "origin", "country"),
    *("sire_id", "dam_id", "portrait_id"),
)


def spoken_of(keys: Iterable[int]) -> dict[int, dict[str, Any]]:
    """By key, FIELDS of each that is on record: at most one query, for those not read yet."""
    wanted = set(keys)
    held: dict[int, dict[str, Any]] = remembered_while_reading("spoken of", dict)
    if missing := wanted - held.keys():
        held |= {row["pk"]: row for row in Animal.objects.filter(pk__in=missing).values(*FIELDS)}
    return {key: held[key] for key in wanted if key in held}
