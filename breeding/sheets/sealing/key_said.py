"""What a reader is told of the key that signed a file, in words; pure but for the language."""

import datetime
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from breeding.sheets.sealing.key_lines import A_DAY, KeyLines
from breeding.sheets.sealing.seal import fingerprint
from breeding.words.days import plain_day
from breeding.words.language import tell, tell_many

OWN, EARLIER_OWN, TOLD, FOLLOWS = "own", "earlier own", "told", "follows"
UNKNOWN, RIVALS, LATE, DISOWNED = "unknown", "rivals", "late", "disowned"


@dataclass(frozen=True)
class KeySaid:
    """What can be said of a key. state: one of the words above.

    is_known: this program's own, told to the reader, or one that took the place of such a one.
    is_bad: nothing that it signed on this day is to be relied on without asking.
    """

    state: str
    sentences: tuple[str, ...]

    @property
    def is_known(self) -> bool:
        return self.state in (OWN, EARLIER_OWN, TOLD, FOLLOWS)

    @property
    def is_bad(self) -> bool:
        return self.state in (DISOWNED, LATE, RIVALS)

    @property
    def words(self) -> str:
        return " ".join(self.sentences)


def said_of_key(
    key: str,
    on: str,
    lines: KeyLines,
    *,
    own: Collection[str] = (),
    told: Mapping[str, str] | None = None,
) -> KeySaid:
    """What a reader is told of a key under a file of the day `on` (a day, month, year or nothing).

    own: the key of this program now, if any. told: by fingerprint what is said of those that were
    told to the reader ("of Kettle House, told on 3 May 2026 by telephone").
    """
    told = told or {}
    if lines.disowned_from(key):
        return _disowned(key, on, lines)
    if rivals := lines.rivals(key):
        said = tell_many(
            "{number} key says that it takes the place of this one.",
            "{number} keys say that they take the place of this one; none of them counts until "
            "the breeder tells you in some other way which is theirs.",
            len(rivals),
        )
        return KeySaid(RIVALS, (said,))
    given_up, after = lines.given_up_on(key), lines.successor(key)
    is_late = bool(given_up) and on[:A_DAY] > given_up
    if is_late:
        said = tell(
            "This key was given up on {day} for the key {key}, and the file says it is of a later "
            "day: ask the breeder.",
            day=_day(given_up),
            key=fingerprint(after),
        )
        return KeySaid(LATE, (said,))
    state, said = _whose(key, lines, set(own), told)
    more = [said]
    if after and state not in (OWN, EARLIER_OWN):
        more.append(_given_up(given_up, after))
    more += [
        tell(
            "It says that it stands for the key {key}, which is lost. It cannot prove that: only "
            "the breeder can tell you, in some other way.",
            key=fingerprint(one),
        )
        for one in lines.claims_lost(key)
    ]
    return KeySaid(state, tuple(more))


def _disowned(key: str, on: str, lines: KeyLines) -> KeySaid:
    since = lines.disowned_from(key)
    first = tell(
        "Its owner says: what is signed with this key from {day} on is not theirs.",
        day=_day(since),
    )
    if lines.is_disowned(key, on):
        return KeySaid(DISOWNED, (first, tell("Do not rely on this file.")))
    second = tell(
        "The file says it is of an earlier day. Whoever has the key can write that too: rely on "
        "it only if it came to you before {day}.",
        day=_day(since),
    )
    return KeySaid(DISOWNED, (first, second))


def _whose(key: str, lines: KeyLines, own: set[str], told: Mapping[str, str]) -> tuple[str, str]:
    if key in own:
        return OWN, tell("This is the key of this program.")
    if any(lines.is_one(key, one) for one in own):
        return EARLIER_OWN, tell("It is an earlier key of this program; what it signed stays good.")
    if who := told.get(fingerprint(key)):
        return TOLD, tell("You know this key: {who}.", who=who)
    for one in lines.line(key):
        if who := told.get(fingerprint(one)):
            said = tell(
                "It is of the same program as a key that you know, {key}: {who}.",
                key=fingerprint(one),
                who=who,
            )
            return FOLLOWS, said
    said = tell(
        "This key is not known here, and anybody can make one: compare it with the fingerprint "
        "that the breeder tells you in some other way."
    )
    if before := lines.predecessor(key):
        said = tell(
            "It takes the place of the key {key}; both have signed that. Neither is known here, "
            "and anybody can make one: compare it with the fingerprint that the breeder tells you "
            "in some other way.",
            key=fingerprint(before),
        )
    return UNKNOWN, said


def _given_up(given_up: str, after: str) -> str:
    if not given_up:
        return tell("The key {key} stands for it now.", key=fingerprint(after))
    return tell(
        "It was given up on {day} for the key {key}; what it signed before stays good.",
        day=_day(given_up),
        key=fingerprint(after),
    )


def _day(text: str) -> str:
    return plain_day(datetime.date.fromisoformat(text))
