"""Stays: who was in which tank, from when to when."""

from typing import Any

from breeding.housing.services import move_animal
from breeding.housing.stays.corrections import record_earlier_stay
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, animal, words
from breeding.records.incoming.meanings import Meaning


def _keep(facts: Facts, keeping: Keeping) -> Any:
    """With an end it is old news; without one the animal moves in, and its company is asked."""
    one, tank, side = facts["animal"], facts["tank"], facts["side"] or ""
    since, until = facts["since"], facts["until"]
    if until is not None:
        return record_earlier_stay(one, tank, since=since, until=until, by=keeping.by, side=side)
    reason = words(facts, "reason")
    return move_animal(
        one, tank, on=since, by=keeping.by, side=side, sure=keeping.sure, reason=reason
    )


STAYS = Kind(
    "stays",
    "stay",
    "stays",
    (
        animal("animal", "code", "id", "name", "ray", "who", "tier"),
        Meaning(
            "tank",
            "Tank",
            ("tank", "tank name", "where", "place", "aquarium", "vat", "pond", "becken"),
            "its name",
            "tank",
            is_needed=True,
        ),
        Meaning("side", "Side", ("side",), "left, right, or empty", "side"),
        Meaning(
            "since",
            "From",
            ("from", "since", "moved in", "in", "start", "date", "on", "von", "seit"),
            "a full date",
            "day",
            is_needed=True,
        ),
        Meaning(
            "until",
            "To",
            ("to", "until", "till", "moved out", "out", "end", "bis"),
            "a full date; empty while it is still there",
            "day",
        ),
        Meaning(
            "reason",
            "Why with its kin",
            ("reason", "why"),
            "in words, where it meets kin",
        ),
    ),
    _keep,
    lambda facts: facts["since"],
    note="",
    takes=(
        *("housing.Stay.animal", "housing.Stay.tank", "housing.Stay.side", "housing.Stay.since"),
        *("housing.Stay.until", "housing.Stay.reason", "housing.Tank.name"),
    ),
)
