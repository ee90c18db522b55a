"""An animal's stays as days on a line: where a new one goes, what it cuts, what is in its way."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

Days = tuple[datetime.date, datetime.date | None]


@dataclass(frozen=True)
class Spell:
    """From a day until a day (open: None) in one place; `key` says which record it is.

    The day on which one spell ends may be the day on which the next begins.
    """

    since: datetime.date
    until: datetime.date | None
    place: tuple[int, str]
    key: int = 0

    def shares_time_with(self, other: "Spell") -> bool:
        """Whether the two are together in more than the day of a move.

        >>> day = datetime.date.fromisoformat
        >>> march = Spell(day("2026-03-01"), day("2026-03-10"), (1, ""))
        >>> march.shares_time_with(Spell(day("2026-03-10"), None, (2, "")))
        False
        >>> march.shares_time_with(Spell(day("2026-03-09"), None, (2, "")))
        True
        """
        return (other.until is None or self.since < other.until) and (
            self.until is None or other.since < self.until
        )


@dataclass(frozen=True)
class Cut:
    """What is left of a spell: before the new one, after it, or both."""

    spell: Spell
    before: tuple[datetime.date, datetime.date] | None
    after: Days | None

    @property
    def left(self) -> list[Days]:
        """What is left by its days: the record keeps the first, a new one takes the second.

        >>> day = datetime.date.fromisoformat
        >>> march = Spell(day("2026-03-01"), day("2026-03-31"), (1, ""))
        >>> days = march.since, day("2026-03-10")
        >>> Cut(march, days, None).left == Cut(march, None, days).left == [days]
        True
        """
        return [days for days in (self.before, self.after) if days is not None]


class InTheWay(Exception):  # noqa: N818 - it is what it says
    """These spells lie within the new one, or are in the same place already."""

    def __init__(self, spells: Sequence[Spell]) -> None:
        super().__init__(f"{len(spells)} spells are in the way")
        self.spells = tuple(spells)


def covering(spells: Sequence[Spell], on: datetime.date) -> Spell | None:
    """The spell somebody who moves on this day moves out of: begun by then and not ended yet.

    >>> day = datetime.date.fromisoformat
    >>> first = Spell(day("2026-03-01"), day("2026-03-10"), (1, ""))
    >>> covering([first], day("2026-03-09")) == first, covering([first], day("2026-03-10"))
    (True, None)
    """
    begun = [
        spell for spell in spells if spell.since <= on and (spell.until is None or on < spell.until)
    ]
    return max(begun, key=lambda spell: spell.since, default=None)


def end_of_move(spells: Sequence[Spell], on: datetime.date) -> datetime.date | None:
    """Until when somebody who moved on this day stayed, by what is on record after it.

    Until the spell it moved out of ends; when it was nowhere, until the next one begins; None when
    nothing comes after. Moves give the same spells in whatever order they are entered.
    """
    left = covering(spells, on)
    if left is not None:
        return left.until
    return min((spell.since for spell in spells if spell.since > on), default=None)


def make_room(spells: Sequence[Spell], new: Spell, *, is_move: bool = False) -> list[Cut]:
    """How the spells on record are cut so that the new one fits; only those that are cut.

    One that lasts on both sides of it is split, one that reaches into it ends or begins with it.
    For a move, one that began on the very day of the move keeps that day. Raises InTheWay with
    every spell that would vanish, and every one that is in the same place at that time.
    """
    cuts, in_the_way = [], []
    for spell in spells:
        if not spell.shares_time_with(new):
            continue
        before = after = None
        if spell.since < new.since or (is_move and spell.since == new.since):
            before = (spell.since, new.since)
        if new.until is not None and (spell.until is None or new.until < spell.until):
            after = (new.until, spell.until)
        if spell.place == new.place or (before is None and after is None):
            in_the_way.append(spell)
        else:
            cuts.append(Cut(spell, before, after))
    if in_the_way:
        raise InTheWay(in_the_way)
    return cuts
