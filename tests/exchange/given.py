"""A file that another invented program gave: an animal and its parents."""

from fractions import Fraction

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from breeding.exchange.ancestry import Claim, Word, write_word
from breeding.exchange.ancestry.claims import identity

KEY = Ed25519PrivateKey.from_private_bytes(b"h" * 32)
PUBLIC = KEY.public_key().public_bytes_raw().hex()


def theirs(code: str) -> str:
    return identity(PUBLIC, code)


def given_file(*more: Claim, born: str = "2024-05-11", on: str = "2026-05-01") -> bytes:
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
        ),
        *more,
    )
    return write_word(Word(PUBLIC, "Kettle House", on, (theirs("K3"),), claims), KEY)
