"""How something that is due in a tank is said; pure."""

from breeding.housing.models import TankRhythm
from breeding.housing.work.rhythm import Due
from breeding.words.days import long_day
from breeding.words.numbers import counted


def due_words(due: Due) -> str:
    """What is due, how often, and when it was last done."""
    last = f"last on {long_day(due.last_on)}" if due.last_on else "none on record"
    return f"{what_words(due.what)}: {last}, every {counted(due.every_days, 'day')}"


def what_words(what: str) -> str:
    return str(TankRhythm.What(what).label)
