"""A word as the bytes that are signed and given; pure."""

from collections.abc import Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from breeding.exchange.ancestry.claims import FORM, VERSION, Claim, Word
from breeding.sheets.sealing.key_words import in_order
from breeding.sheets.sealing.seal import canonical, sign

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

PURPOSE = b"rayward ancestry 1\n"


def document_of(word: Word) -> dict[str, Any]:
    """Everything a word says, fit to be signed; what is empty is left out."""
    keys = {"keys": [one.packed for one in in_order(word.keys)]} if word.keys else {}
    return {
        "form": FORM,
        "version": VERSION,
        "issuer": word.issuer,
        "issued_on": word.issued_on,
        "about": list(word.about),
        "animals": [_animal(claim) for claim in word.claims],
        **keys,
    }


def _animal(claim: Claim) -> dict[str, Any]:
    said: Mapping[str, Any] = {
        "id": claim.identity,
        "sex": claim.sex,
        "name": claim.name,
        "born": claim.born,
        "died": claim.died,
        "wild": claim.is_wild,
        "sires": [[sire, said_share(share)] for sire, share in claim.sires],
        "dam": claim.dam,
        "species": {name: said_share(share) for name, share in claim.species},
        "also": list(claim.also),
        "spots": [[day, [list(spot) for spot in spots]] for day, spots in claim.spots],
        "measured": [list(one) for one in claim.measured],
    }
    return {name: value for name, value in said.items() if value or name == "id"}


def said_share(share: Fraction) -> str:
    """An exact share as text: "1", "3/5"."""
    return str(share)


def write_word(word: Word, key: "Ed25519PrivateKey") -> bytes:
    """The signed file of a word: its document, the signature and the public key, in one form."""
    document = document_of(word)
    seal = sign(document, key, purpose=PURPOSE)
    return canonical(
        {"document": document, "signature": seal.signature, "public_key": seal.public_key}
    )
