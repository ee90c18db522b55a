"""Stays: who was in which tank, from when to when."""

from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.housing.services import move_animal
from breeding.housing.stays.corrections import record_earlier_stay
from breeding.housing.stays.many import ManyStays, Told
from breeding.records.incoming.kinds.kept import (
    MOST_ONE_BY_ONE,
    Kept,
    kept_alone,
    too_many,
    without_frames,
)
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, animal, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.language import tell_many


def _keep(facts: Facts, keeping: Keeping) -> Any:
    """With an end it is old news; without one the animal moves in. Its company is asked."""
    one, tank, side = facts["animal"], facts["tank"], facts["side"] or ""
    since, until, reason = facts["since"], facts["until"], words(facts, "reason")
    sure, by = keeping.sure, keeping.by
    if until is None:
        return move_animal(one, tank, on=since, by=by, side=side, sure=sure, reason=reason)
    return record_earlier_stay(
        one, tank, since=since, until=until, by=by, side=side, sure=sure, sure_reason=reason
    )


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    """All together, but for one that is asked about what only the records can say: that by an act
    of its own.
    """
    told = [_told(facts) for facts in rows]
    many = ManyStays({one.animal.pk for one in told}, told, by=keeping.by)
    found, alone = list[Kept](), 0
    for facts, row in zip(rows, told, strict=True):
        kept = _held(row, many, keeping)
        if kept is None and alone == MOST_ONE_BY_ONE:
            kept = Kept(refusal=too_many(len(rows)))
        elif kept is None:
            alone += 1
            many.write()
            kept = kept_alone(_keep, facts, keeping)
            many.read_again(row.animal)
        found.append(kept)
    many.write()
    return found


def _told(facts: Facts) -> Told:
    return Told(
        facts["animal"],
        facts["tank"],
        facts["since"],
        facts["until"],
        facts["side"] or "",
        words(facts, "reason"),
    )


def _held(row: Told, many: ManyStays, keeping: Keeping) -> Kept | None:
    """What became of a row; None where an act of its own has to say it."""
    try:
        taken = many.take(row)
    except ValidationError as problem:
        return Kept(refusal=without_frames(problem))
    if taken is None:
        return None
    new = [one for one in taken.doubts if one.mark not in keeping.sure]
    return Kept(taken.stay, new, without_reason=[] if taken.stay else list(taken.doubts))


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
    _keep_all,
    lambda facts: facts["since"],
    note="",
    takes=(
        *("housing.Stay.animal", "housing.Stay.tank", "housing.Stay.side", "housing.Stay.since"),
        *("housing.Stay.until", "housing.Stay.reason", "housing.Tank.name"),
    ),
)
