"""What a tank's page shows of its work: how often, the latest changes and care."""

from typing import Any

from breeding.housing.models import Tank, TankRhythm
from breeding.housing.work.due_words import what_words
from breeding.housing.work.queries import USUAL_PERCENT, changes_of, works_of
from breeding.housing.work.rhythm import rhythms_of
from breeding.words.language import tell_many


def work_of(tank: Tank) -> dict[str, Any]:
    """For the page of one tank: three queries, few rows."""
    changes, works = changes_of(tank), works_of(tank)
    chosen = rhythms_of([tank]).get(tank.pk, {})
    standing = [one for one in changes if not one.is_withdrawn]
    return {
        "changes": standing,
        "works": [one for one in works if not one.is_withdrawn],
        "withdrawn_work": [one for one in [*changes, *works] if one.is_withdrawn],
        "last_change": standing[0] if standing else None,
        "rhythm": [
            tell_many(
                "{what} every {number} day",
                "{what} every {number} days",
                chosen[what],
                what=what_words(what),
            )
            for what in TankRhythm.What.values
            if what in chosen
        ],
        "usual_percent": USUAL_PERCENT,
    }
