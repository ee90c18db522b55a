"""Stays: who was in which tank, from when to when."""

from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.housing.stays.many import ManyStays, ToldStay
from breeding.records.incoming.kinds.kept import Kept, without_frames
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, animal, tank, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.language import tell_many


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    """All together. With an end it is old news; without one the animal moves in. Its company is
    asked.
    """
    told = [_told(facts) for facts in rows]
    many = ManyStays(told, by=keeping.by)
    found = [_held(row, many, keeping) for row in told]
    many.write()
    return found


def _told(facts: Facts) -> ToldStay:
    return ToldStay(
        facts["animal"],
        facts["tank"],
        facts["since"],
        facts["until"],
        facts["side"] or "",
        words(facts, "reason"),
    )


def _held(row: ToldStay, many: ManyStays, keeping: Keeping) -> Kept:
    """What became of a row."""
    try:
        taken = many.take(row)
    except ValidationError as problem:
        return Kept(refusal=without_frames(problem))
    asked = taken.asked(keeping.sure)
    return Kept(taken.stay, asked, without_reason=taken.without_reason)


STAYS = Kind(
    "stays",
    _("stay"),
    _("stays"),
    lambda number: tell_many("{number} stay", "{number} stays", number),
    (
        animal("animal", "code", "id", "name", "ray", "who", "tier"),
        tank("place"),
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
