"""Pairings: a female and a male together, from when to when."""

from typing import Any

from breeding.pairings.services import open_pairing
from breeding.records.incoming.kinds.kind import NOTE, Facts, Keeping, Kind, animal, words
from breeding.records.incoming.meanings import Meaning


def _keep(facts: Facts, keeping: Keeping) -> Any:
    return open_pairing(
        female=facts["female"],
        male=facts["male"],
        introduced_on=facts["introduced_on"],
        separated_on=facts["separated_on"],
        reason=words(facts, "reason"),
        note=words(facts, "note"),
        program=keeping.program,
        by=keeping.by,
        today=keeping.today,
        sure=keeping.sure,
    )


PAIRINGS = Kind(
    "pairings",
    "pairing",
    "pairings",
    (
        animal("female", "dam", "mother", "hen", "her", "weibchen", label="Female", key="female"),
        animal("male", "sire", "father", "cock", "him", "männchen", label="Male", key="male"),
        Meaning(
            "introduced_on",
            "Together from",
            (
                *("introduced", "introduced on", "together", "together from", "from", "paired"),
                *("paired on", "start", "since", "date", "put together", "von"),
            ),
            "a full date",
            "day",
            is_needed=True,
        ),
        Meaning(
            "separated_on",
            "Apart from",
            ("separated", "separated on", "apart", "until", "to", "end", "parted", "bis"),
            "a full date; empty while they are together",
            "day",
        ),
        Meaning("reason", "Why in spite of their kinship", ("reason", "why"), "in words"),
        NOTE,
    ),
    _keep,
    lambda facts: facts["introduced_on"],
    takes=(
        *("pairings.Pairing.female", "pairings.Pairing.male", "pairings.Pairing.introduced_on"),
        *("pairings.Pairing.separated_on", "pairings.Pairing.reason", "pairings.Pairing.note"),
    ),
)
