"""How something that is due in a tank is said; pure."""

from breeding.housing.models import TankRhythm
from breeding.housing.work.rhythm import Due
from breeding.words.days import long_day
from breeding.words.language import tell_many


def due_words(due: Due) -> str:
    """What is due, how often, and when it was last done."""
    if due.last_on is None:
        return tell_many(
            "{what}: none on record, every {number} day",
            "{what}: none on record, every {number} days",
            due.every_days,
            what=what_words(due.what),
        )
    return tell_many(
        "{what}: last on {day}, every {number} day",
        "{what}: last on {day}, every {number} days",
        due.every_days,
        what=what_words(due.what),
        day=long_day(due.last_on),
    )


def what_words(what: str) -> str:
    return str(TankRhythm.What(what).label)
