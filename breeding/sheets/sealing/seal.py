"""How a sheet is signed: one form for its facts, an Ed25519 signature over it, and the check.

The *document* holds everything the sheet says: the facts, the digest of the tree, of every
picture as kept and of the printed file, and the number of the sheet it corrects. Its one form is
JSON in UTF-8 with sorted keys and no spaces; only texts, whole numbers, true and false, lists and
groups of these may stand in it, so no fraction can be written in two ways. What is signed is the
line `rayward parentage sheet 1` followed by that form.

Source: Ed25519, RFC 8032, by the library `cryptography`. The form follows RFC 8785 but for its
numbers with fractions, which do not occur, and its order of keys, which here is by code point.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

PURPOSE = b"rayward parentage sheet 1\n"
FORM = 1


@dataclass(frozen=True)
class Seal:
    """A signature and the key it can be checked with, both in hexadecimal."""

    signature: str
    public_key: str

    @property
    def fingerprint(self) -> str:
        return fingerprint(self.public_key)


def canonical(document: Any) -> bytes:
    """The one form of a document: the same values always give the same bytes.

    Raises TypeError naming a value that has no one form (a fraction, nothing, a date), ValueError
    for a text that cannot be written in UTF-8.

    >>> canonical({"b": ["é", 1], "a": True})
    b'{"a":true,"b":["\\xc3\\xa9",1]}'
    """
    _check(document, "document")
    text = json.dumps(document, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    try:
        return text.encode()
    except UnicodeEncodeError:
        raise ValueError("The document holds a letter that UTF-8 cannot write.") from None


def _check(value: Any, where: str) -> None:
    if isinstance(value, dict):
        for name, part in value.items():
            if not isinstance(name, str):
                raise TypeError(f"{where} has a name that is no text: {name!r}.")
            _check(part, f"{where}: {name}")
    elif isinstance(value, list):
        for number, part in enumerate(value, start=1):
            _check(part, f"{where} {number}")
    elif not isinstance(value, (str, bool, int)):
        raise TypeError(f"{where} is {value!r}; only texts, whole numbers, true and false go here.")


def read_canonical(content: bytes) -> dict[str, Any]:
    """The document that these bytes are the one form of.

    Raises ValueError for anything else, also for the same values written in another way.
    """
    try:
        found = json.loads(content.decode())
        if isinstance(found, dict) and canonical(found) == content:
            return found
    except (ValueError, TypeError, RecursionError):
        pass
    raise ValueError("The attached facts are not in the form in which they were signed.")


def sign(
    document: Mapping[str, Any], key: "Ed25519PrivateKey", *, purpose: bytes = PURPOSE
) -> Seal:
    """Sign a document. The same document and key always give the same signature.

    `purpose` stands before what is signed, so that no signature serves for another sort of paper.
    """
    signature = key.sign(purpose + canonical(dict(document)))
    return Seal(signature.hex(), key.public_key().public_bytes_raw().hex())


def holds(document: Mapping[str, Any], seal: Seal, *, purpose: bytes = PURPOSE) -> bool:
    """Whether the seal's key signed this very document. Whose key it is, is another question."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    try:
        key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(seal.public_key))
        key.verify(bytes.fromhex(seal.signature), purpose + canonical(dict(document)))
    except (InvalidSignature, ValueError, TypeError):
        return False
    return True


def fingerprint(public_key: str) -> str:
    """What people compare in place of a key: 128 bits of its SHA-256, in groups of four.

    >>> fingerprint("00" * 32)
    '6668 7aad f862 bd77 6c8f c18b 8e9f 8e20'
    """
    try:
        digest = hashlib.sha256(bytes.fromhex(public_key)).hexdigest()[:32]
    except ValueError:
        return "no key"
    return " ".join(digest[place : place + 4] for place in range(0, 32, 4))


def digest(content: bytes) -> str:
    """SHA-256 in hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def document_of(
    *,
    facts: Mapping[str, Any],
    tree: str,
    pictures: Mapping[str, str],
    file_frame: str,
    paper: str,
    corrects: str = "",
    ancestry: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """Everything a sheet says, fit to be signed.

    `facts` are plain values, `tree` is its drawing as text, `pictures` the digest of each kept
    picture by its key on the sheet, `file_frame` the digest of the printed file without its
    attachment, `corrects` the number of the sheet that this one replaces, `ancestry` what other
    programs read; without any there is no such part, as on sheets from before.
    """
    carried = {"ancestry": dict(ancestry)} if ancestry else {}
    return {
        "form": FORM,
        "facts": dict(facts),
        "tree_sha256": digest(tree.encode()),
        "pictures_sha256": dict(pictures),
        "file_frame_sha256": file_frame,
        "paper": paper,
        "corrects": corrects,
        **carried,
    }


def packed(document: Mapping[str, Any], seal: Seal) -> bytes:
    """What is attached to the PDF: the document, the signature and the public key."""
    return canonical(
        {"document": dict(document), "signature": seal.signature, "public_key": seal.public_key}
    )


def unpacked(content: bytes) -> tuple[dict[str, Any], Seal]:
    """Document and seal from an attachment. Raises ValueError when it is not one."""
    found = read_canonical(content)
    document = found.get("document")
    signature, public_key = found.get("signature"), found.get("public_key")
    if (
        found.keys() != {"document", "signature", "public_key"}
        or not isinstance(document, dict)
        or not isinstance(signature, str)
        or not isinstance(public_key, str)
    ):
        raise ValueError("The attached facts are not in the form in which they were signed.")
    return document, Seal(signature, public_key)
