"""What is known of keys here: what was signed, and what the keeper was told; writes nothing."""

from collections.abc import Iterable
from dataclasses import replace

from breeding.exchange.ancestry import Word
from breeding.exchange.ancestry.claims import code_of, identity, key_of
from breeding.exchange.models import HeldKeyWord, KnownKey, TakenAncestry
from breeding.sheets.models import Sheet
from breeding.sheets.sealing.key_lines import KeyLines
from breeding.sheets.sealing.key_said import KeySaid, said_of_key
from breeding.sheets.sealing.key_words import LOST, MOST_WORDS, KeyWord
from breeding.sheets.sealing.seal import fingerprint
from breeding.sheets.standing import own_public_key


def known_lines(own_key: str = "") -> KeyLines:
    """All that is known of keys here. Four queries.

    What this program itself says of a key that it lost, it knows.
    """
    held = [(one.word, one.is_own) for one in HeldKeyWord.objects.all()]
    told = KnownKey.objects.values_list("instead_of", "fingerprint")
    own = {
        (fingerprint(word.key), fingerprint(word.by))
        for word, is_own in held
        if is_own and word.says == LOST
    }
    seen = {
        *TakenAncestry.objects.values_list("key", flat=True),
        *Sheet.objects.exclude(public_key="").values_list("public_key", flat=True),
        *filter(None, (own_key,)),
    }
    return KeyLines(
        words=frozenset(word for word, _ in held),
        told=frozenset((one, other) for one, other in told if one) | own,
        trusted=frozenset(other for _, other in told)
        | ({fingerprint(own_key)} if own_key else frozenset()),
        seen=frozenset(seen),
    )


def known_to_strangers(own_key: str = "") -> KeyLines:
    """The same without what the keeper was told by others, which is nobody else's business."""
    lines = known_lines(own_key)
    own = {(fingerprint(w.key), fingerprint(w.by)) for w in own_words() if w.says == LOST}
    return replace(
        lines,
        told=frozenset(own),
        trusted=frozenset({fingerprint(own_key)} if own_key else ()),
    )


def own_words() -> list[KeyWord]:
    """What this program has signed about its own keys."""
    return [one.word for one in HeldKeyWord.objects.filter(is_own=True)]


def names_of(one: str, lines: KeyLines) -> list[str]:
    """Every identity of an animal across the keys of the program that named it."""
    return [identity(key, code_of(one)) for key in lines.line(key_of(one))]


def passed_on(keys: Iterable[str], lines: KeyLines) -> tuple[KeyWord, ...]:
    """What is to be passed on with a file that speaks of animals under these keys."""
    about = set(keys)
    about |= {other for key in about for other in lines.line(key)}
    found = [word for word in lines.words if {word.key, word.by} & about]
    return tuple(sorted(found)[-MOST_WORDS:])


def told_fingerprints() -> dict[str, str]:
    """By fingerprint what is said of the keys that were told to the keeper."""
    return {one.fingerprint: one.words for one in KnownKey.objects.all()}


def said_of_word(word: Word, *, is_stranger: bool = False) -> KeySaid:
    """What a reader is told of the key of an ancestry, by all that is known here and in it."""
    return said_of(word.key, word.issued_on, word.keys, is_stranger=is_stranger)


def said_of(
    key: str, on: str, words: Iterable[KeyWord] = (), *, is_stranger: bool = False
) -> KeySaid:
    """What a reader is told of a key under a file of that day."""
    own = own_public_key()
    lines = known_to_strangers(own) if is_stranger else known_lines(own)
    told = {} if is_stranger else told_fingerprints()
    return said_of_key(key, on, lines.with_words(words, [key]), own=[own] if own else [], told=told)
