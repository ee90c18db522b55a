"""What programs say of their keys, signed: one takes another's place, is lost, is not theirs; pure.

Three things can be said of a key:

- `succeeds`: another takes its place. Signed by both, so that nobody makes another's key his own,
  and nobody makes his the next of another's.
- `lost`: another stands for it, and it is gone. Signed by the new one alone, so it proves nothing:
  it is for the owner to tell each reader in another way, by fingerprint.
- `disowned`: what it signs from a day on is not its owner's. Signed by the key itself or by one
  that took its place; whether it did, `key_lines.py` says.

A day in a word is what its signer wrote. Whoever stole a key can write an earlier one.
"""

import datetime
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from breeding.sheets.sealing.seal import Seal, canonical, digest, holds, read_canonical, sign
from breeding.words.language import tell

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

PURPOSE = b"rayward key 1\n"
FORM, VERSION = "rayward key", 1
FILE_FORM = "rayward keys"
SUCCEEDS, LOST, DISOWNED = "succeeds", "lost", "disowned"
SAYS = (SUCCEEDS, LOST, DISOWNED)
MOST_WORDS = 40
MOST_BYTES = 100_000
_KEY = re.compile(r"[0-9a-f]{64}\Z")
_SIGNATURE = re.compile(r"[0-9a-f]{128}\Z")
_PARTS = frozenset(("document", "signature", "second_signature"))
_SAID = frozenset(("form", "version", "says", "key", "by", "on", "from"))


class NotAKeyWord(ValueError):  # noqa: N818 - read aloud it says what is the matter
    """This says nothing of a key that could be believed; the text says why, to a reader."""


@dataclass(frozen=True, order=True)
class KeyWord:
    """One thing said of `key` by the key `by`, as it was signed.

    key, by: 64 hexadecimal figures. on: the day it was said. since: of `disowned`, the day from
    which on what is signed is not the owner's; else empty.
    """

    says: str
    key: str
    by: str
    on: str
    since: str = ""
    signature: str = ""
    second_signature: str = ""  # of `succeeds`: by the key that is given up

    @property
    def document(self) -> dict[str, Any]:
        """What is signed."""
        said: dict[str, Any] = {
            "form": FORM,
            "version": VERSION,
            "says": self.says,
            "key": self.key,
            "by": self.by,
            "on": self.on,
        }
        return said | ({"from": self.since} if self.since else {})

    @property
    def packed(self) -> dict[str, Any]:
        """As it stands in a file."""
        signed = {"document": self.document, "signature": self.signature}
        second = {"second_signature": self.second_signature} if self.second_signature else {}
        return signed | second

    @property
    def digest(self) -> str:
        """By what it is told from others: what it says, however often it is signed."""
        return digest(canonical(self.document))


def succeeds(old: "Ed25519PrivateKey", new: "Ed25519PrivateKey", on: datetime.date) -> KeyWord:
    """The new key takes the place of the old one; both sign."""
    word = KeyWord(SUCCEEDS, public_of(old), public_of(new), on.isoformat())
    return _signed(word, by=new, second=old)


def lost(old: str, new: "Ed25519PrivateKey", on: datetime.date) -> KeyWord:
    """The new key stands for one that is gone. It proves nothing."""
    return _signed(KeyWord(LOST, old, public_of(new), on.isoformat()), by=new)


def disowned(
    key: str, by: "Ed25519PrivateKey", on: datetime.date, *, since: datetime.date
) -> KeyWord:
    """What `key` signs from a day on is not its owner's."""
    word = KeyWord(DISOWNED, key, public_of(by), on.isoformat(), since.isoformat())
    return _signed(word, by=by)


def public_of(key: "Ed25519PrivateKey") -> str:
    """The public key, 64 hexadecimal figures."""
    return key.public_key().public_bytes_raw().hex()


def _signed(
    word: KeyWord, *, by: "Ed25519PrivateKey", second: "Ed25519PrivateKey | None" = None
) -> KeyWord:
    def signature(key: "Ed25519PrivateKey") -> str:
        return sign(word.document, key, purpose=PURPOSE).signature

    return KeyWord(
        word.says,
        word.key,
        word.by,
        word.on,
        word.since,
        signature(by),
        signature(second) if second else "",
    )


def read_key_word(packed: Any) -> KeyWord:
    """One word out of a file, believed only when its signatures hold. Raises NotAKeyWord."""
    if not isinstance(packed, Mapping) or not set(packed) <= _PARTS:
        raise NotAKeyWord(tell("What it says of keys is not as this program writes it."))
    document = packed.get("document")
    if not isinstance(document, Mapping) or not set(document) <= _SAID:
        raise NotAKeyWord(tell("What it says of keys is not as this program writes it."))
    version = document.get("version")
    if document.get("form") != FORM or type(version) is not int or version != VERSION:
        raise NotAKeyWord(tell("What it says of keys is not as this program writes it."))
    word = KeyWord(
        _one_of(document.get("says")),
        _matching(document.get("key"), _KEY),
        _matching(document.get("by"), _KEY),
        _a_day(document.get("on")),
        _a_day(document["from"]) if "from" in document else "",
        _matching(packed.get("signature"), _SIGNATURE),
        _matching(packed["second_signature"], _SIGNATURE) if "second_signature" in packed else "",
    )
    _check(word)
    return word


def _check(word: KeyWord) -> None:
    is_of_two = word.says == SUCCEEDS
    if (word.says == DISOWNED) != bool(word.since) or is_of_two != bool(word.second_signature):
        raise NotAKeyWord(tell("What it says of keys is not as this program writes it."))
    if word.says != DISOWNED and word.key == word.by:
        raise NotAKeyWord(tell("A key cannot take its own place."))
    signed = holds(word.document, Seal(word.signature, word.by), purpose=PURPOSE)
    if signed and is_of_two:
        signed = holds(word.document, Seal(word.second_signature, word.key), purpose=PURPOSE)
    if not signed:
        raise NotAKeyWord(
            tell("What it says of keys was altered, or was not signed by the keys it speaks of.")
        )


def _one_of(value: Any) -> str:
    if value not in SAYS:
        raise NotAKeyWord(tell("“{value}” is nothing that is said of keys.", value=str(value)[:20]))
    return str(value)


def _matching(value: Any, form: "re.Pattern[str]") -> str:
    if not isinstance(value, str) or not form.match(value):
        raise NotAKeyWord(tell("“{value}” is no key and no signature.", value=str(value)[:20]))
    return value


def _a_day(value: Any) -> str:
    try:
        if isinstance(value, str) and datetime.date.fromisoformat(value).isoformat() == value:
            return value
    except ValueError:
        pass
    raise NotAKeyWord(tell("“{value}” is no day.", value=str(value)[:20]))


def read_key_words(rows: Any) -> tuple[KeyWord, ...]:
    """Words out of a list, in one order and each once. Raises NotAKeyWord."""
    if not isinstance(rows, list) or len(rows) > MOST_WORDS:
        raise NotAKeyWord(tell("It says more of keys than {most} things.", most=MOST_WORDS))
    return in_order(map(read_key_word, rows))


def in_order(words: Iterable[KeyWord]) -> tuple[KeyWord, ...]:
    """Each once, in one order."""
    return tuple(sorted({word.digest: word for word in words}.values()))


def write_key_file(words: Iterable[KeyWord]) -> bytes:
    """A file of words, fit to be given to readers; each is signed for itself."""
    return canonical({"form": FILE_FORM, "words": [one.packed for one in in_order(words)]})


def read_key_file(content: bytes) -> tuple[KeyWord, ...]:
    """What a file says of keys. Raises NotAKeyWord, in words."""
    if len(content) > MOST_BYTES:
        raise NotAKeyWord(
            tell(
                "This file is too large: {size} kB; at most {most} kB are read.",
                size=len(content) // 1000 + 1,
                most=MOST_BYTES // 1000,
            )
        )
    try:
        found = read_canonical(content)
    except ValueError:
        found = {}
    if found.keys() != {"form", "words"} or found["form"] != FILE_FORM or not found["words"]:
        raise NotAKeyWord(tell("This file says nothing of keys as this program writes it."))
    return read_key_words(found["words"])


def is_key_file(content: bytes) -> bool:
    """Whether it looks like one, before anything of it is believed."""
    return content.startswith(b'{"form":"rayward keys"')
