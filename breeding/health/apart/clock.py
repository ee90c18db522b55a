"""From when on the days of a quarantine are reckoned; pure, nothing is read.

All that share a water share its clock: it starts again for all of them when one is added, falls
ill, is treated against an illness or dies. Whoever has left the tank for quarantine before its
days are over stays in quarantine, by the clock as it was when it left.
"""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from breeding.words.language import tell

Date = datetime.date


class Spell(NamedTuple):
    """An animal in one water from a day until a day (None: it is there still).

    is_apart: in a tank for quarantine.
    """

    animal: int
    water: str
    tank: int
    since: Date
    until: Date | None
    is_apart: bool


class Event(NamedTuple):
    """Why the clock of a water starts again; `words` follow "when ".

    animal: who was added, None for what concerns all of them alike.
    """

    on: Date
    water: str
    words: str
    added: int | None = None


class Start(NamedTuple):
    """From when on the days are reckoned; `words` are empty where it is the first day itself."""

    on: Date
    words: str = ""


@dataclass(frozen=True)
class Apart:
    """A quarantine: its first day, where its clock stands, and when it was left (None: not yet).

    spell: where it is, or was, kept; by word it may be kept anywhere.
    """

    since: Date
    start: Start
    left_on: Date | None
    spell: Spell | None


def in_one_tank(spells: Iterable[Spell]) -> list[Spell]:
    """Spells of one animal that follow each other in one tank (a divider) as one."""
    found: list[Spell] = []
    for one in sorted(spells, key=lambda one: (one.since, one.until or Date.max)):
        last = found[-1] if found else None
        if last is not None and last.tank == one.tank and last.until == one.since:
            found[-1] = last._replace(until=one.until)
        else:
            found.append(one)
    return found


def added(spells: Iterable[Spell], names: Mapping[int, str]) -> list[Event]:
    """One is added where it was not in that water just before."""
    by_place: dict[tuple[int, str], list[Spell]] = {}
    for one in spells:
        by_place.setdefault((one.animal, one.water), []).append(one)
    return [
        Event(
            one.since, one.water, tell("{animal} was added", animal=names[one.animal]), one.animal
        )
        for own in by_place.values()
        for one in own
        if not any(_leads_to(other, one) for other in own)
    ]


def _leads_to(other: Spell, one: Spell) -> bool:
    return (
        other is not one
        and other.water == one.water
        and other.since < one.since
        and (other.until is None or other.until >= one.since)
    )


def apart(
    own: Sequence[Spell],
    events: Iterable[Event],
    beside: Sequence[Spell],
    *,
    by_word: Date | None,
    ended_on: Date | None,
    on: Date,
    names: Mapping[int, str],
) -> Apart | None:
    """The quarantine of one animal that had begun by a day, whether or not its days are over.

    own: its spells. beside: those of all in these waters. by_word: since when it is in quarantine
    by word. ended_on: when its last quarantine was ended.
    """
    events = [one for one in events if one.on <= on]
    kept = [
        begun
        for one in own
        if one.is_apart and one.since <= on
        for begun in _not_ended(one, events, ended_on)
    ]
    since, left_on = _latest([(one.since, one.until) for one in kept], by_word, on)
    if since is None:
        return None
    where = kept if by_word is None else own
    spells = [one for one in where if one.until is None or one.until > since]
    starts = [
        *(Start(one.on, one.words) for one in events if _reaches(one, spells, since)),
        *_came_to_others(kept, beside, since, names),
    ]
    # Of several of one day the first by its words, in whatever order they were written down.
    in_order = sorted(starts, key=lambda one: one.words)
    last = max(in_order, key=lambda one: one.on, default=Start(since))
    return Apart(since, last, left_on, _where(own, kept, on))


def _not_ended(one: Spell, events: Sequence[Event], ended_on: Date | None) -> list[Spell]:
    """The spell, or what of it begins anew after an end: when another is added to it."""
    if ended_on is None or one.since > ended_on:
        return [one]
    again = [
        event.on
        for event in events
        if event.water == one.water
        and event.added not in (None, one.animal)
        and event.on > ended_on
        and _is_there(one, event.on)
    ]
    return [one._replace(since=min(again))] if again else []


def _latest(
    stretches: list[tuple[Date, Date | None]], by_word: Date | None, on: Date
) -> tuple[Date | None, Date | None]:
    """First and last day of the stretch that began last; those that touch are one."""
    if by_word is not None and by_word <= on:
        stretches = [*stretches, (by_word, None)]
    since: Date | None = None
    until: Date | None = None
    for first, last in sorted(stretches, key=lambda one: (one[0], one[1] or Date.max)):
        if since is None or (until is not None and first > until):
            since, until = first, last
        elif until is not None:
            until = None if last is None else max(until, last)
    return since, until if until is not None and until <= on else None


def _reaches(event: Event, spells: Sequence[Spell], since: Date) -> bool:
    """Whether it concerns an animal that is in that water on that day, after its first day."""
    return event.on > since and any(
        one.water == event.water and one.animal != event.added and _is_there(one, event.on)
        for one in spells
    )


def _came_to_others(
    kept: Sequence[Spell], beside: Sequence[Spell], since: Date, names: Mapping[int, str]
) -> list[Start]:
    """It came itself to others in a tank for quarantine, out of another water."""
    found = []
    for one in kept:
        if one.since <= since or any(_leads_to(other, one) for other in kept):
            continue
        met = [
            names[other.animal]
            for other in beside
            if other.animal != one.animal
            and other.water == one.water
            and other.since <= one.since
            and (other.until is None or other.until > one.since)
        ]
        if met:
            found.append(Start(one.since, tell("it came to {animal}", animal=sorted(set(met))[0])))
    return found


def _where(own: Sequence[Spell], kept: Sequence[Spell], on: Date) -> Spell | None:
    """The tank for quarantine it came to last, else where it is."""
    if kept:
        return max(kept, key=lambda one: one.since)
    there = [one for one in own if one.since <= on and (one.until is None or one.until > on)]
    return there[-1] if there else None


def _is_there(one: Spell, on: Date) -> bool:
    """Whoever leaves on the day on which another comes has not met it."""
    return one.since <= on and (one.until is None or on < one.until)
