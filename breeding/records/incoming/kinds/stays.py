"""Stays: who was in which tank, from when to when."""

from typing import Any

from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.housing.services import move_animal
from breeding.housing.stays.corrections import record_earlier_stay
from breeding.records.incoming.kinds.kept import one_by_one
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, animal, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.language import tell_many


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
    _("stay"),
    _("stays"),
    lambda number: tell_many("{number} stay", "{number} stays", number),
    (
        animal("animal", "code", "id", "name", "ray", "who", "tier"),
        Meaning(
            "tank",
            _("Tank"),
            ("tank", "tank name", "where", "place", "aquarium", "vat", "pond", "becken"),
            _("its name"),
            "tank",
            is_needed=True,
        ),
        Meaning(
            "side",
            pgettext_lazy("a column of a table", "Side"),
            ("side",),
            _("left, right, or empty"),
            "side",
        ),
        Meaning(
            "since",
            pgettext_lazy("a column of a table", "From"),
            ("from", "since", "moved in", "in", "start", "date", "on", "von", "seit"),
            _("a full date"),
            "day",
            is_needed=True,
        ),
        Meaning(
            "until",
            pgettext_lazy("a column of a table", "To"),
            ("to", "until", "till", "moved out", "out", "end", "bis"),
            _("a full date; empty while it is still there"),
            "day",
        ),
        Meaning(
            "reason",
            _("Why with its kin"),
            ("reason", "why"),
            _("in words, where it meets kin"),
        ),
    ),
    one_by_one(_keep),
    lambda facts: facts["since"],
    note="",
    takes=(
        *("housing.Stay.animal", "housing.Stay.tank", "housing.Stay.side", "housing.Stay.since"),
        *("housing.Stay.until", "housing.Stay.reason", "housing.Tank.name"),
    ),
)
