"""A file that another invented program gave: an animal and its parents."""

import datetime
from fractions import Fraction
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from breeding.exchange.ancestry import Claim, Word, write_word
from breeding.exchange.ancestry.claims import identity
from breeding.sheets.sealing.key_words import KeyWord, public_of, succeeds

KEY = Ed25519PrivateKey.from_private_bytes(b"h" * 32)
PUBLIC = KEY.public_key().public_bytes_raw().hex()


NEXT = Ed25519PrivateKey.from_private_bytes(b"i" * 32)
NEXT_PUBLIC = NEXT.public_key().public_bytes_raw().hex()


def given_succession() -> KeyWord:
    """Their next key takes the place of the first."""
    return succeeds(KEY, NEXT, datetime.date(2026, 9, 1))


def theirs(code: str) -> str:
    return identity(PUBLIC, code)


def given_file(
    *more: Claim,
    born: str = "2024-05-11",
    on: str = "2026-05-01",
    key: Ed25519PrivateKey = KEY,
    keys: tuple[KeyWord, ...] = (),
    **pup: Any,
) -> bytes:
    """K3, its sire K1 and its dam K2, and whatever more is said."""
    claims = (
        Claim(theirs("K1"), sex="M", is_wild=True, species=(("Potamotrygon motoro", Fraction(1)),)),
        Claim(theirs("K2"), sex="F", is_wild=True, species=(("Potamotrygon motoro", Fraction(1)),)),
        Claim(
            theirs("K3"),
            sex="F",
            born=born,
            sires=((theirs("K1"), Fraction(1)),),
            dam=theirs("K2"),
            **pup,
        ),
        *more,
    )
    word = Word(public_of(key), "Kettle House", on, (theirs("K3"),), claims, keys=keys)
    return write_word(word, key)
