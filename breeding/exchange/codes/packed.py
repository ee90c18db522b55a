"""A signed file as a few short texts, each fit for one QR code, and back to its bytes; pure.

The whole: the public key (32 bytes), the signature (64 bytes), then the document in its one form
(`sheets/sealing/seal.py::canonical`) as a raw deflate stream (RFC 1951) of which both sides know
the beginning: WORDS and the public key in hexadecimal. Base45 (RFC 9285) makes it letters that a
QR code holds at 5.5 bits each. They are parted evenly; a part is

    RAYWARD1:2/3:9F86D081884C7D65:letters

its number, how many there are, the first 16 figures of the SHA-256 of the whole, and its letters.
Nothing is believed because of a code: what comes out is a file like any other, with its signature.
"""

import hashlib
import re
import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from breeding.exchange.ancestry.reading import MOST_BYTES, Refused
from breeding.sheets.sealing.seal import unpacked
from breeding.words.language import tell
from breeding.words.numbers import joined

MARK = "RAYWARD1"
ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
MOST_LETTERS = 970  # of a part: version 20 of a QR code with error correction M holds so many
HEAD_LETTERS = len(f"{MARK}:99/99:{'0' * 16}:")
MOST_PARTS = 12  # more nobody photographs
WORDS = (
    b'","measured":[["202","name":"","spots":[["202","also":["","died":"202'
    b'","keys":[{"by":"","key":"","on":"202","says":"succeeds","since":"202","signatures":["'
    b'{"about":[""],"animals":[{"born":"202-0-1","dam":"","id":"","sex":"F","sires":[["","1"]]},'
    b'{"id":"","sex":"M","species":{"Potamotrygon ":"1"},"wild":true}]'
    b',"form":"rayward ancestry","issued_on":"202","issuer":"","version":2}'
)  # of the form: another choice is another MARK
PART = re.compile(
    rf"{MARK}:([1-9]\d?)/([1-9]\d?):([0-9A-F]{{16}}):([0-9A-Z $%*+\-./:]{{1,{MOST_LETTERS}}})\Z"
)
SEAL_BYTES, KEY_BYTES = 64, 32


class TooMuchForCodes(ValueError):  # noqa: N818 - read aloud it says what happened
    """It would be more codes than anybody photographs; says how many."""

    def __init__(self, needed: int) -> None:
        super().__init__(
            tell(
                "As codes it would be {needed}; at most {most} are made. Choose fewer generations, "
                "leave the spots and measurements out, or give the file.",
                needed=needed,
                most=MOST_PARTS,
            )
        )


@dataclass(frozen=True)
class Part:
    """What one code holds: part `number` of `of`, of the file whose fingerprint is `whole`."""

    number: int
    of: int
    whole: str
    letters: str

    @property
    def text(self) -> str:
        return f"{MARK}:{self.number}/{self.of}:{self.whole}:{self.letters}"


@dataclass(frozen=True)
class Gathered:
    """The parts of one file that have come so far, each once, in order."""

    parts: tuple[Part, ...]

    @property
    def of(self) -> int:
        return self.parts[0].of

    @property
    def missing(self) -> list[int]:
        """Which have not come."""
        return sorted(set(range(1, self.of + 1)) - {one.number for one in self.parts})

    @property
    def texts(self) -> list[str]:
        return [one.text for one in self.parts]

    @property
    def missing_words(self) -> str:
        """What is there and what is wanted, in words."""
        return tell(
            "{number} of {of} codes are read. Still missing: {missing}.",
            number=len(self.parts),
            of=self.of,
            missing=joined([str(one) for one in self.missing], "and"),
        )


def parts_of(content: bytes) -> list[Part]:
    """A signed file as codes, as few as hold it. Raises TooMuchForCodes."""
    letters = base45(_whole(content))
    room = MOST_LETTERS - HEAD_LETTERS
    number = -(-len(letters) // room)
    if number > MOST_PARTS:
        raise TooMuchForCodes(number)
    each = -(-len(letters) // number)
    whole = _fingerprint(_whole(content))
    return [
        Part(place + 1, number, whole, letters[place * each : (place + 1) * each])
        for place in range(number)
    ]


def read_part(text: str) -> Part | None:
    """What a code holds, if it is one of these; None: it is another code.

    >>> read_part("https://example.org/") is None
    True
    """
    found = PART.match(text)
    if found is None:
        return None
    part = Part(int(found[1]), int(found[2]), found[3], found[4])
    return part if part.number <= part.of <= MOST_PARTS else None


def gathered(parts: Iterable[Part]) -> list[Gathered]:
    """Parts by the file that they belong to, in the order in which these came; each part once.

    Raises Refused where two say that they are the same part and hold different letters.
    """
    wholes: dict[tuple[str, int], dict[int, Part]] = {}
    for one in parts:
        there = wholes.setdefault((one.whole, one.of), {})
        if there.setdefault(one.number, one) != one:
            raise Refused(
                tell(
                    "Two different codes say that they are part {number} of {of} of one file. One "
                    "is damaged or forged: take the pictures anew.",
                    number=one.number,
                    of=one.of,
                )
            )
    return [Gathered(tuple(there[key] for key in sorted(there))) for there in wholes.values()]


def content_of(found: Gathered) -> bytes:
    """The file, byte for byte as it was signed. Raises Refused, in words."""
    if found.missing:
        raise Refused(found.missing_words)
    try:
        whole = from_base45("".join(one.letters for one in found.parts))
    except ValueError:
        whole = b""
    if _fingerprint(whole) != found.parts[0].whole or len(whole) <= KEY_BYTES + SEAL_BYTES:
        raise Refused(_damaged())
    key, seal = whole[:KEY_BYTES].hex(), whole[KEY_BYTES : KEY_BYTES + SEAL_BYTES].hex()
    document = _inflated(whole[KEY_BYTES + SEAL_BYTES :], key)
    return b'{"document":%b,"public_key":"%b","signature":"%b"}' % (
        document,
        key.encode(),
        seal.encode(),
    )


def _damaged() -> str:
    return tell("These codes are damaged: together they are not the file that they name.")


def _whole(content: bytes) -> bytes:
    _, seal = unpacked(content)
    start, end = len(b'{"document":'), content.rindex(b',"public_key":"')
    pressed = zlib.compressobj(9, zlib.DEFLATED, -15, 9, zdict=_known(seal.public_key))
    document = pressed.compress(content[start:end]) + pressed.flush()
    return bytes.fromhex(seal.public_key) + bytes.fromhex(seal.signature) + document


def _inflated(stream: bytes, key: str) -> bytes:
    """The document, never more of it than any file may hold. Raises Refused."""
    inflate = zlib.decompressobj(-15, zdict=_known(key))
    try:
        document = inflate.decompress(stream, MOST_BYTES)
    except zlib.error:
        raise Refused(_damaged()) from None
    if not inflate.eof or inflate.unused_data:
        raise Refused(_damaged())
    return document


def _known(key: str) -> bytes:
    return WORDS + key.encode() + b":"


def _fingerprint(whole: bytes) -> str:
    return hashlib.sha256(whole).hexdigest()[:16].upper()


def base45(content: bytes) -> str:
    """Two bytes as three letters, a last one as two (RFC 9285).

    >>> base45(b"Hello!!")
    '%69 VD92EX0'
    """
    letters = []
    for place in range(0, len(content), 2):
        pair = content[place : place + 2]
        value = int.from_bytes(pair, "big")
        for _ in range(len(pair) + 1):
            value, rest = divmod(value, 45)
            letters.append(ALPHABET[rest])
    return "".join(letters)


def from_base45(letters: str) -> bytes:
    """The bytes again. Raises ValueError for letters that no bytes are written as.

    >>> from_base45("QED8WEX0")
    b'ietf!'
    """
    values = [ALPHABET.index(letter) for letter in letters]
    found = bytearray()
    for place in range(0, len(values), 3):
        three: Sequence[int] = values[place : place + 3]
        value = sum(one * 45**power for power, one in enumerate(three))
        if len(three) == 1 or value >= 256 ** (len(three) - 1):
            raise ValueError("These letters are no base45.")
        found += value.to_bytes(len(three) - 1, "big")
    return bytes(found)
